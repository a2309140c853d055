import rehypeSanitize, { defaultSchema } from 'rehype-sanitize';
import rehypeStringify from 'rehype-stringify';
import remarkGfm from 'remark-gfm';
import remarkParse from 'remark-parse';
import remarkRehype from 'remark-rehype';
import { unified } from 'unified';
import { nearestWord } from '../../nearestWord.ts';
import type { Problem } from '../../problem.ts';
import type { Results } from '../readResults.ts';
import type { Claim } from './claim.ts';
import type { Directive, Part, Wanted } from './directive.ts';
import { DIRECTIVES } from './directives/list.ts';
import { Given } from './given.ts';
import { knownDirectives } from './knownDirectives.ts';
import { Mistake } from './mistake.ts';
import type { Note } from './note.ts';
import { element, type Html, type MarkNode, plainText, textNode } from './tree.ts';

/** A piece of a note, in order: markup, or a figure or table that the page has to set. */
export type Block = { readonly html: string } | { readonly wanted: Wanted; readonly id: string };

/** A note as it goes onto its page. */
export interface SetNote {
  readonly note: Note;
  readonly blocks: readonly Block[];
  readonly claims: readonly Claim[];
  readonly problems: readonly Problem[];
}

/** Longer notes are not set: time has to stay bounded whatever is written. Characters. */
export const MOST_CHARACTERS = 40_000;
/** The parser’s time grows with the square of some kinds of lines. */
const MOST_LINES = 2_000;
/** Of a note that is not set, so much is shown as it was written. */
const SHOWN_CHARACTERS = 4_000;
/** Brackets, quotes, lists and emphasis within each other, as far as a line can tell. */
const MOST_DEPTH = 60;

const sanitized: typeof defaultSchema = {
  ...defaultSchema,
  clobberPrefix: '',
  // Pages load nothing from elsewhere, and pictures have no place to come from yet.
  tagNames: (defaultSchema.tagNames ?? []).filter((tag) => !['img', 'picture', 'source'].includes(tag)),
  attributes: {
    ...defaultSchema.attributes,
    input: [...(defaultSchema.attributes?.['input'] ?? []), 'ariaLabel'],
    // Where a directive stands; what it turns into is put there afterwards.
    span: [...(defaultSchema.attributes?.['span'] ?? []), 'dataPart'],
    div: [...(defaultSchema.attributes?.['div'] ?? []), 'dataPart'],
  },
};

/**
 * Sets a note: CommonMark with tables, footnotes, strikethrough by two tildes, task lists and the directives. Raw HTML
 * is dropped, addresses with a scheme that could run something as well, and headings start at the third level.
 *
 * Whatever is wrong with a directive is a problem with its line, and the directive stays as it was written.
 *
 * @param results null for a text that has nothing to do with a campaign; then there are no directives
 */
export function setNote(note: Note, results: Results | null, directives: readonly Directive[] = DIRECTIVES): SetNote {
  const plain = (problem: Problem): SetNote => ({
    note,
    blocks: [{ html: asWritten(note.text) }],
    claims: [],
    problems: [problem],
  });
  if (note.text.length > MOST_CHARACTERS || linesOf(note.text) > MOST_LINES) return plain(tooLong(note));
  if (depthOf(note.text) > MOST_DEPTH) return plain(tooDeep(note));
  try {
    return new Setting(note, results, results ? directives : []).done();
  } catch (error) {
    // Deeper than the engine's stack, in a way that the look at the lines did not show.
    if (error instanceof RangeError) return plain(tooDeep(note));
    throw error;
  }
}

class Setting {
  readonly #note: Note;
  readonly #results: Results | null;
  readonly #directives: readonly Directive[];
  readonly #parts: Part[] = [];
  readonly #claims: Claim[] = [];
  readonly #problems: Problem[] = [];

  constructor(note: Note, results: Results | null, directives: readonly Directive[]) {
    this.#note = note;
    this.#results = results;
    this.#directives = directives;
  }

  done(): SetNote {
    const note = this.#note;
    const reader = unified()
      .use(remarkParse)
      .use(remarkGfm, { singleTilde: false })
      .use(knownDirectives as never, { directives: this.#directives } as never);
    const marks = reader.parse(note.text) as unknown as MarkNode;
    this.#read(marks, true);
    const writer = unified()
      .use(remarkRehype, { clobberPrefix: `${note.id}-` })
      .use(rehypeSanitize, sanitized);
    const html = writer.runSync(marks as never) as unknown as Html;
    return { note, blocks: this.#blocks(this.#filled(html)), claims: this.#claims, problems: this.#problems };
  }

  /** Replaces every directive by a place that is filled later, and says what is misspelt. */
  #read(parent: MarkNode, top: boolean): void {
    for (const node of parent.children ?? []) {
      // A directive inside the words of another comes first, so that they are there to be read.
      this.#read(node, false);
      if (node.type === 'text') this.#misspelt(node);
      const form = ({ textDirective: 'sentence', leafDirective: 'alone', containerDirective: 'around' } as const)[
        node.type as 'textDirective'
      ];
      if (form) this.#directive(node, this.#directives.find((d) => d.name === node.name && d.form === form)!, top);
    }
  }

  #directive(node: MarkNode, directive: Directive, top: boolean): void {
    const { start, end } = node.position!;
    const span = [start.offset ?? 0, end.offset ?? 0] as const;
    const source = this.#note.text.slice(...span);
    let part: Part;
    try {
      if (directive.form === 'alone' && !top)
        throw new Mistake(
          `\`::${directive.name}\` inside a list, a quote or a side note`,
          'figures and tables by themselves, between paragraphs',
          'move it out, with an empty line before and behind it',
        );
      const given = new Given(directive.name, node.attributes);
      const label = (node.children ?? []).map((child) => this.#words(child)).join('');
      part = directive.read({
        given,
        label,
        line: this.#line(start.line),
        span,
        note: this.#note,
        results: this.#results!,
        claims: this.#claims,
      });
      given.finish();
    } catch (error) {
      if (!(error instanceof Mistake)) throw error;
      const { found, expected, remedy } = error;
      this.#problems.push({
        code: 'NOTE_DIRECTIVE',
        severity: 'stop',
        place: this.#place(start.line),
        found,
        expected,
        remedy,
      });
      part = {
        html: (label) =>
          directive.form === 'around'
            ? label
            : [
                element(directive.form === 'alone' ? 'p' : 'span', { className: ['fault'] }, [
                  element('code', {}, [textNode(source)]),
                ]),
              ],
      };
    }
    this.#parts.push(part);
    node.data = {
      hName: directive.form === 'sentence' ? 'span' : 'div',
      hProperties: { dataPart: String(this.#parts.length - 1) },
    };
    if (directive.form === 'around')
      for (const child of node.children ?? []) if (child.data?.directiveLabel) child.children = [];
  }

  /** What is read of a node, the values in it included. */
  #words(node: MarkNode): string {
    const part = this.#parts[Number(node.data?.hProperties?.['dataPart'] ?? -1)];
    if (part && 'html' in part)
      return part
        .html([textNode((node.children ?? []).map((c) => this.#words(c)).join(''))])
        .map(plainText)
        .join('');
    return node.value ?? (node.children ?? []).map((child) => this.#words(child)).join('');
  }

  /** A colon, a word that is nearly a directive's, and brackets: said, and left as it is. */
  #misspelt(node: MarkNode): void {
    if (!this.#results) return;
    const text = node.value ?? '';
    for (const { 0: all, 1: colons = '', 2: name = '', index } of text.matchAll(
      /(?<![\w:])(:{1,3})([a-z][a-z-]*)(?=[[{])/g,
    )) {
      const forms = { ':': 'sentence', '::': 'alone', ':::': 'around' } as const;
      const same = this.#directives.find((d) => d.name === name);
      const near =
        same?.name ??
        nearestWord(
          name,
          this.#directives.map((d) => d.name),
        );
      if (near === null) continue;
      const line = (node.position?.start.line ?? 1) + text.slice(0, index).split('\n').length - 1;
      const meant = this.#directives.find((d) => d.name === near)!;
      const wrong = meant.form !== forms[colons as ':'];
      const HOW = {
        sentence: `\`:${near}\` in a sentence`,
        alone: `\`::${near}\` on a line by itself`,
        around: `\`:::${near}\` on a line above the text and \`:::\` below it`,
      };
      this.#problems.push({
        code: 'NOTE_DIRECTIVE',
        severity: 'warn',
        place: this.#place(line),
        found: `\`${all}\`, which is left as text`,
        expected:
          wrong && same ? HOW[meant.form] : `a directive: ${this.#directives.map((d) => `\`${d.name}\``).join(', ')}`,
        remedy: same
          ? 'set it as expected, or put a backslash before the colon if it is meant as text'
          : `perhaps \`${near}\`; a backslash before the colon if it is meant as text`,
      });
    }
  }

  readonly #line = (line: number): number => this.#note.line + line - 1;
  readonly #place = (line: number): Problem['place'] => ({ file: this.#note.file, line: this.#line(line) });

  /** What directives turn into put in their places, after the rest was cleaned; and the changes to headings and ids. */
  #filled(node: Html): Html {
    const children = (node.children ?? []).flatMap((child): Html[] => {
      const index = child.properties?.['dataPart'];
      const filled = this.#filled(child);
      if (index === undefined) return [filled];
      const part = this.#parts[Number(index)]!;
      // Figures and tables stay in their place until the note is cut into blocks.
      return 'html' in part ? part.html((filled.children ?? []).filter((c) => !isEmptyParagraph(c))) : [filled];
    });
    return { ...node, ...(node.children ? { children } : {}), ...this.#lowered(node) };
  }

  /** Headings of notes stand below the page's own second level, so that the outline of the page holds. */
  #lowered({ tagName, properties }: Html): Partial<Html> {
    const level = /^h([1-6])$/.exec(tagName ?? '');
    const changed: Partial<Html> = level ? { tagName: `h${Math.min(6, Number(level[1]) + 2)}` } : {};
    // A task list's boxes have no words of their own for a screen reader.
    if (tagName === 'input')
      changed.properties = { ...properties, ariaLabel: properties?.['checked'] ? 'done' : 'to do' };
    // The heading above footnotes has one id for all documents; several notes may share a page.
    if (properties?.['id'] === 'footnote-label')
      changed.properties = { ...properties, id: `${this.#note.id}-footnotes` };
    const describedBy = properties?.['ariaDescribedBy'];
    if (Array.isArray(describedBy) && describedBy.includes('footnote-label'))
      changed.properties = { ...properties, ariaDescribedBy: [`${this.#note.id}-footnotes`] };
    return changed;
  }

  #blocks(root: Html): Block[] {
    const blocks: Block[] = [];
    let run: Html[] = [];
    const close = (): void => {
      const html = String(
        unified()
          .use(rehypeStringify)
          .stringify({ type: 'root', children: run } as never),
      );
      if (html.trim() !== '') blocks.push({ html });
      run = [];
    };
    for (const child of root.children ?? []) {
      const index = child.properties?.['dataPart'];
      const part = index === undefined ? undefined : this.#parts[Number(index)];
      if (part && 'wanted' in part) {
        close();
        blocks.push({ wanted: part.wanted, id: `${this.#note.id}-${part.wanted.kind}-${blocks.length + 1}` });
      } else run.push(child);
    }
    close();
    return blocks;
  }
}

const isEmptyParagraph = ({ tagName, children }: Html): boolean => tagName === 'p' && (children?.length ?? 0) === 0;

/** The beginning of a text that is not set, as it was written. */
function asWritten(text: string): string {
  const shown = text.slice(0, SHOWN_CHARACTERS);
  const more = text.length > shown.length ? '\n…' : '';
  return String(
    unified()
      .use(rehypeStringify)
      .stringify(element('pre', {}, [textNode(shown + more)]) as never),
  );
}

const linesOf = (text: string): number => text.split('\n').length;

/** How deep a line nests at most, counted by its signs: never less than what the parser makes of it. */
function depthOf(text: string): number {
  let deepest = 0;
  let around = 0;
  for (const line of text.split('\n')) {
    // Directives around text that are never closed take each other in, and time goes with a power of their number.
    if (/^\s*:::+\s*$/.test(line)) around = Math.max(0, around - 1);
    else if (/^\s*:::+[a-z]/.test(line)) deepest = Math.max(deepest, ++around * 10);
    const before = /^[\s>*+\d.)-]*/.exec(line)?.[0] ?? '';
    const quotes = (before.match(/>|[*+-](?=\s)|\d[.)](?=\s)/g) ?? []).length;
    let open = 0;
    let most = 0;
    for (const sign of line) {
      if (sign === '[') open++;
      else if (sign === ']') open = Math.max(0, open - 1);
      most = Math.max(most, open);
    }
    deepest = Math.max(deepest, quotes, most, /^\s*/.exec(line)![0].length / 2);
  }
  return deepest;
}

const tooLong = ({ file, line, text }: Note): Problem => ({
  code: 'NOTE_UNREADABLE',
  severity: 'stop',
  place: { file, line },
  found: `a note of ${text.length} characters on ${linesOf(text)} lines`,
  expected: `at most ${MOST_CHARACTERS} characters on ${MOST_LINES} lines`,
  remedy: 'split it, or keep what is data in a file beside it; its beginning is shown as it was written',
});

const tooDeep = ({ file, line }: Note): Problem => ({
  code: 'NOTE_UNREADABLE',
  severity: 'stop',
  place: { file, line },
  found: 'quotes, lists or brackets within each other beyond what can be set',
  expected: `at most ${MOST_DEPTH} levels`,
  remedy: 'take some of them out; its beginning is shown as it was written',
});
