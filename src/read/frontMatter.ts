import { Document, isMap, isScalar, LineCounter, parseDocument } from 'yaml';
import type { z } from 'zod';
import { nearestWord } from '../nearestWord.ts';
import type { Problem } from '../problem.ts';

type Path = readonly PropertyKey[];

/** Values that aliases may make out of one; more is an attempt to fill the memory. */
const MAX_ALIASES = 20;

/** A YAML text that still knows on which line each key stands. */
export class Yaml {
  readonly file: string;
  readonly #document: Document;
  readonly #lines: LineCounter;
  readonly #firstLine: number;
  readonly syntax: readonly Problem[];

  constructor(text: string, file: string, firstLine = 1) {
    this.file = file;
    this.#firstLine = firstLine;
    this.#lines = new LineCounter();
    const problem = (line: number, found: string): Problem => ({
      code: 'FRONT_MATTER',
      severity: 'stop',
      place: { file, line },
      found,
      expected: 'YAML: `key: value`, lists with `-`, text with a colon in quotes',
      remedy: 'correct the line',
    });
    try {
      this.#document = parseDocument(text, { lineCounter: this.#lines, prettyErrors: false, logLevel: 'error' });
      this.syntax = this.#document.errors.map((error) =>
        problem(firstLine + this.#lines.linePos(error.pos[0]).line - 1, error.message.split('\n')[0] ?? 'a YAML error'),
      );
      // Aliases that multiply or contain themselves show only when the values are made.
      if (this.syntax.length === 0) JSON.stringify(this.#document.toJS({ maxAliasCount: MAX_ALIASES }));
    } catch (error) {
      this.#document = new Document(null);
      this.syntax = [problem(firstLine, error instanceof Error ? (error.message.split('\n')[0] ?? '') : String(error))];
    }
  }

  value(): unknown {
    return this.syntax.length > 0 ? null : this.#document.toJS({ maxAliasCount: MAX_ALIASES });
  }

  /** Line in the file of the key or value at `path`; of its nearest parent that is there otherwise. */
  line(path: Path): number {
    for (let depth = path.length; depth > 0; depth--) {
      const parent = depth === 1 ? this.#document.contents : this.#document.getIn(path.slice(0, depth - 1), true);
      const key = path[depth - 1];
      const pair = isMap(parent)
        ? parent.items.find((item) => isScalar(item.key) && item.key.value === key)
        : undefined;
      const node = pair?.key ?? this.#document.getIn(path.slice(0, depth), true);
      const range = (node as { range?: [number, number, number] } | undefined)?.range;
      if (range) return this.#firstLine + this.#lines.linePos(range[0]).line - 1;
    }
    return this.#firstLine;
  }

  /** The text of a scalar as it was written: `0.10`, where the value would be 0.1. */
  source(path: Path): string | null {
    const node = this.#document.getIn(path, true);
    return isScalar(node) && typeof node.source === 'string' ? node.source : null;
  }

  /** Checks against a schema: the value, and each disagreement as a problem with its line. */
  checked<T extends z.ZodType>(
    schema: T,
    keysAt: (path: Path) => readonly string[],
  ): { value: z.output<T> | null; problems: Problem[] } {
    if (this.syntax.length > 0) return { value: null, problems: [...this.syntax] };
    const result = schema.safeParse(this.value() ?? {});
    if (result.success) return { value: result.data, problems: [] };
    const problems: Problem[] = [];
    let fatal = false;
    for (const issue of result.error.issues) {
      const path = issue.path;
      if (issue.code === 'unrecognized_keys')
        for (const key of issue.keys) {
          const near = nearestWord(key, keysAt(path));
          problems.push({
            code: 'KEY_UNKNOWN',
            severity: 'stop',
            place: { file: this.file, line: this.line([...path, key]), key: [...path, key].join('.') },
            found: `the key \`${key}\``,
            expected: `one of ${keysAt(path)
              .map((k) => `\`${k}\``)
              .join(', ')}`,
            remedy: near ? `perhaps \`${near}\`` : 'take the key out, or correct its spelling',
          });
        }
      else {
        fatal = true;
        problems.push({
          code: 'VALUE_INVALID',
          severity: 'stop',
          place: { file: this.file, line: this.line(path), key: path.join('.') },
          found: this.#shown(path),
          expected: issue.message,
          remedy: 'correct the value',
        });
      }
    }
    return { value: fatal ? null : this.#without(schema, result.error), problems };
  }

  #shown(path: Path): string {
    const source = this.source(path);
    if (source !== null) return `\`${source}\``;
    const value = path.reduce<unknown>((at, key) => (at as Record<PropertyKey, unknown> | null)?.[key], this.value());
    return value === undefined ? 'nothing' : `\`${JSON.stringify(value)}\``;
  }

  /** The value once unknown keys are taken out: one misspelt key hides nothing else. */
  #without<T extends z.ZodType>(schema: T, error: z.ZodError): z.output<T> | null {
    const value = this.value();
    for (const issue of error.issues) {
      if (issue.code !== 'unrecognized_keys') continue;
      const at = issue.path.reduce<unknown>((node, key) => (node as Record<PropertyKey, unknown>)[key], value);
      for (const key of issue.keys) delete (at as Record<string, unknown>)[key];
    }
    const again = schema.safeParse(value);
    return again.success ? again.data : null;
  }
}

/**
 * Splits a Markdown file into its YAML front matter and its body.
 *
 * @returns with the line on which the body begins; null where the file does not begin with a `---` line that a second
 * one closes
 */
export function frontMatter(text: string, file: string): { yaml: Yaml; body: string; bodyLine: number } | null {
  const match = /^\uFEFF?---[ \t]*\r?\n([\s\S]*?)^---[ \t]*(?:\r?\n|$)([\s\S]*)$/m.exec(text);
  if (!match) return null;
  const body = match[2] ?? '';
  const ahead = text.slice(0, text.length - body.length) + (/^\s*/.exec(body)?.[0] ?? '');
  return { yaml: new Yaml(match[1] ?? '', file, 2), body: body.trim(), bodyLine: ahead.split('\n').length };
}
