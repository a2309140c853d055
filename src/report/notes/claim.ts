import type { Given } from './given.ts';
import { Mistake } from './mistake.ts';
import type { Note } from './note.ts';
import type { Key, Reading } from './quantity.ts';
import { markOf } from './stands.ts';
import type { Value } from './value.ts';
import { insideValue, written } from './written.ts';

/** A statement of a note, with the test that it has to pass. */
export interface Claim {
  readonly note: Note;
  /** Id of the statement on its page. */
  readonly anchor: string;
  /** Line of the file. */
  readonly line: number;
  /** The statement as it reads. */
  readonly text: string;
  readonly value: Value;
  /** What the value has to be, in words. */
  readonly range: string;
  readonly holds: boolean;
  /** Mark of the inputs that it was confirmed on; null where nobody confirmed it. */
  readonly confirmedOn: string | null;
  /** Mark of the inputs as they are. */
  readonly mark: string;
  /** Where the directive stands in the text of the note. */
  readonly span: readonly [from: number, to: number];
}

/** Whether the inputs are others than those that a claim was confirmed on. */
export const isChanged = ({ confirmedOn, mark }: Claim): boolean => confirmedOn !== null && confirmedOn !== mark;

/** Keys of a claim besides those of its value. */
export const CLAIM_KEYS: readonly Key[] = [
  {
    name: 'from',
    means: 'least value with which the statement is true; in the unit shown, or with its own: `"0.4 s"`',
  },
  { name: 'to', means: 'greatest value with which it is true' },
  { name: 'is', means: 'the word that it has to be, where the quantity is a word' },
  { name: 'on', means: 'mark of the inputs it was confirmed on; `gapbook confirm` writes it' },
];

/** Reads the range and the mark of a claim and puts its value to the test. */
export function tested(
  given: Given,
  value: Value,
  own: Pick<Claim, 'note' | 'anchor' | 'line' | 'text' | 'span'>,
): Claim {
  const [from, to, is, on] = [given.text('from'), given.text('to'), given.text('is'), given.text('on')];
  const { reading } = value;
  const mark = markOf(value.asked, reading.stands);
  const common = { ...own, value, confirmedOn: on, mark };
  if (is !== null) {
    if (from !== null || to !== null)
      throw new Mistake('`is` together with `from` or `to`', 'a word, or a range of numbers', 'keep one of them');
    const now = typeof reading.value === 'number' ? written(reading) : reading.value;
    return { ...common, range: `“${is}”`, holds: now === is };
  }
  if (from === null && to === null)
    throw new Mistake(
      'a claim without a range',
      '`from=` and `to=`, or one of them; `is=` for a word',
      typeof reading.value === 'string'
        ? `add \`is="${reading.value}"\``
        : `add the range in which the sentence is true; the value is ${written(reading)}`,
    );
  if (typeof reading.value === 'string')
    throw new Mistake('a range for a word', `\`is="${reading.value}"\``, 'put `is=` in place of the range');
  const end = (text: string | null, key: string): number | null => {
    if (text === null) return null;
    const inside = insideValue(text, reading.scale);
    if (inside === null)
      throw new Mistake(
        `\`${key}=${text}\``,
        `a number, or one with a unit that \`${reading.scale.shown}\` converts to`,
        'correct it, in quotes where it has blanks',
      );
    return inside;
  };
  const [low, high] = [end(from, 'from'), end(to, 'to')];
  if (low !== null && high !== null && low > high)
    throw new Mistake(`a range from ${from} to ${to}`, '`from` no greater than `to`', 'swap them');
  const now = reading.value;
  return {
    ...common,
    range:
      low === null
        ? `at most ${endText(reading, high)}`
        : high === null
          ? `at least ${endText(reading, low)}`
          : `${endText(reading, low)} to ${endText(reading, high)}`,
    holds: now !== null && (low === null || now >= low) && (high === null || now <= high),
  };
}

/** An end of a range is written with all its digits, up to the thousandth. */
function endText(reading: Reading, value: number | null): string {
  const { scale } = reading;
  const text = written({ ...reading, value, sigma: null, scale: { ...scale, digits: scale.inside === '1' ? 0 : 3 } });
  return scale.lapTime ? text : text.replace(/(\.\d*?)0+(?=\D|$)/, '$1').replace(/\.(?=\D|$)/, '');
}
