import remarkDirective from 'remark-directive';
import type { Processor } from 'unified';
import type { Directive } from './directive.ts';

type Code = number | null;
type State = (code: Code) => State | undefined;
interface Effects {
  enter(type: string): void;
  exit(type: string): void;
  consume(code: Code): void;
  check(construct: Construct, ok: State, nok: State): State;
}
interface Construct {
  tokenize(this: unknown, effects: Effects, ok: State, nok: State): State;
  partial?: boolean;
  [other: string]: unknown;
}
interface Syntax {
  text: Record<number, Construct>;
  flow: Record<number, readonly Construct[]>;
}

const COLON = 58;
const OPENS = new Set<Code>([91, 123]);

/** Whether a name that is known stands behind the colons, and what may stand behind that. */
function ahead(known: ReadonlySet<string>, behind: (code: Code) => boolean): Construct {
  return {
    partial: true,
    tokenize(effects, ok, nok) {
      let name = '';
      const inside: State = (code) => {
        const letter = code === null || code < 0 ? '' : String.fromCodePoint(code);
        if (/^[a-z-]$/.test(letter)) {
          name += letter;
          effects.consume(code);
          return inside;
        }
        effects.exit('directiveAhead');
        return known.has(name) && behind(code) ? ok(code) : nok(code);
      };
      const colons: State = (code) => {
        if (code !== COLON) return inside(code);
        effects.consume(code);
        return colons;
      };
      return (code) => {
        effects.enter('directiveAhead');
        return colons(code);
      };
    },
  };
}

const guarded = (construct: Construct, look: Construct): Construct => ({
  ...construct,
  tokenize(effects, ok, nok) {
    return effects.check(look, construct.tokenize.call(this, effects, ok, nok), nok);
  },
});

/**
 * Directives of the given names and no others: whatever else begins with a colon is text as CommonMark has it, so that
 * lap times (1:32.5) and names of corners (T1:exit) stay what they are. In a sentence a directive has brackets or braces.
 */
export function knownDirectives(this: Processor, { directives }: { directives: readonly Directive[] }): void {
  remarkDirective.call(this as never);
  const extensions = (this.data() as unknown as { micromarkExtensions: Syntax[] }).micromarkExtensions;
  const syntax = extensions.pop()!;
  const names = (form: Directive['form']): Set<string> =>
    new Set(directives.filter((d) => d.form === form).map((d) => d.name));
  const [container, leaf] = syntax.flow[COLON]!;
  const ends = (code: Code): boolean => code === null || code < 0 || code === 32 || OPENS.has(code);
  extensions.push({
    text: {
      [COLON]: guarded(
        syntax.text[COLON]!,
        ahead(names('sentence'), (code) => OPENS.has(code)),
      ),
    },
    flow: {
      [COLON]: [guarded(container!, ahead(names('around'), ends)), guarded(leaf!, ahead(names('alone'), ends))],
    },
  });
}
