import { nearestWord } from '../../nearestWord.ts';
import { Mistake } from './mistake.ts';

/** What stands between the braces of a directive, each key asked for by name, so that none goes unread unnoticed. */
export class Given {
  readonly directive: string;
  readonly #attributes: ReadonlyMap<string, string>;
  readonly #asked = new Set<string>();

  constructor(directive: string, attributes: Readonly<Record<string, string | null | undefined>> | null | undefined) {
    this.directive = directive;
    this.#attributes = new Map(Object.entries(attributes ?? {}).map(([key, value]) => [key, value ?? '']));
  }

  /** The value of a key; null where it is not given. A key without a value is a mistake. */
  text(key: string): string | null {
    this.#asked.add(key);
    const value = this.#attributes.get(key);
    if (value === '')
      throw new Mistake(
        `\`${key}\` without a value`,
        `\`${key}=…\``,
        `write \`${key}=\` and the value, in quotes where it has blanks`,
      );
    return value ?? null;
  }

  /** The value of a key that has to be there. */
  needed(key: string, what: string): string {
    const value = this.text(key);
    if (value === null)
      throw new Mistake(`\`${this.directive}\` without \`${key}=\``, `${what}`, `add \`${key}=…\` between the braces`);
    return value;
  }

  /** The value of a key that is one of a few words. */
  oneOf<W extends string>(key: string, words: readonly W[]): W | null {
    const value = this.text(key);
    if (value === null || words.includes(value as W)) return value as W | null;
    throw unknown(`\`${key}=${value}\``, value, words);
  }

  /** The word that stands without a value, such as the quantity; one of `words`. */
  word<W extends string>(words: readonly W[], what: string): W {
    const bare = [...this.#attributes].filter(([, value]) => value === '').map(([key]) => key);
    const [first] = bare;
    if (first === undefined)
      throw new Mistake(
        `\`${this.directive}\` without ${what}`,
        `${what}: one of ${listed(words)}`,
        `write it first between the braces: \`{${words[0] ?? ''} …}\``,
      );
    const word = bare.find((candidate) => words.includes(candidate as W));
    if (word === undefined) throw unknown(`no ${what.replace(/^an? /, '')} \`${first}\``, first, words);
    this.#asked.add(word);
    return word as W;
  }

  /** Throws where a key was given that nobody asked for. */
  finish(): void {
    const [left] = [...this.#attributes.keys()].filter((key) => !this.#asked.has(key));
    if (left !== undefined) throw unknown(`the key \`${left}\``, left, [...this.#asked]);
  }

  /** Keys and values as they are read, without those named and without the word that stands by itself. */
  words(without: readonly string[]): string[] {
    return [...this.#attributes]
      .filter(([key, value]) => value !== '' && !without.includes(key))
      .map(([key, value]) => `${key} ${value}`);
  }

  /** Keys and values in a form that does not depend on how they were written, without those named. */
  canonical(without: readonly string[]): string {
    return JSON.stringify([...this.#attributes].filter(([key]) => !without.includes(key)).sort());
  }
}

const listed = (words: readonly string[]): string => words.map((word) => `\`${word}\``).join(', ');

function unknown(found: string, word: string, among: readonly string[]): Mistake {
  const near = nearestWord(word, among);
  return new Mistake(found, `one of ${listed(among)}`, near ? `perhaps \`${near}\`` : 'take one of these');
}
