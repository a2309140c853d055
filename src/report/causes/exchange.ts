import { lapTime, listWords, plural, seconds } from '../words.ts';

/**
 * A lap with parts of it taken from the reference lap. What each choice saves is computed with the causes, stretch by
 * stretch for every choice of parts; here it is only added up, at the build and in the script of the page alike.
 */
export interface Exchange {
  /** Of the lap and of the reference, s. */
  readonly lapS: number;
  readonly referenceS: number;
  readonly stretches: readonly Stretch[];
}

interface Stretch {
  /** In an address. */
  readonly key: string;
  /** In a sentence: `corner 6`. */
  readonly words: string;
  /** Time saved by each choice of {@link PARTS}, bit by bit, in units of {@link UNIT_S}; the first is no choice. */
  readonly saved: readonly number[];
}

/** What may be taken from the reference, in the order of the bits. */
export const PARTS = ['line', 'entry', 'apex', 'exit'] as const;
/** As they are called in tables and in sentences. */
export const PART_TITLES = ['line', 'entry', 'corner speed', 'exit'] as const;
export const ALL = (1 << PARTS.length) - 1;

/** Savings are whole numbers of these, s. */
export const UNIT_S = 1e-4;

/** A choice: parts of each stretch as bits, and whether what is no rider's doing goes as well. */
export interface Taken {
  readonly masks: readonly number[];
  readonly rest: boolean;
}

/** The parts in which the laps differ on a stretch, as bits. */
export const partsOf = ({ saved }: Pick<Stretch, 'saved'>): number =>
  PARTS.reduce((mask, _, i) => (saved.some((s, m) => s !== saved[m ^ (1 << i)]) ? mask | (1 << i) : mask), 0);

/** Seconds that a choice saves on a stretch. */
export const savedS = ({ saved }: Pick<Stretch, 'saved'>, mask: number): number => saved[mask]! * UNIT_S;

/** What is between the laps beside all parts: speed brought over the gate, the machines, chance and what does not add up, s. */
export const restS = ({ lapS, referenceS, stretches }: Exchange): number =>
  lapS - referenceS - stretches.reduce((sum, stretch) => sum + savedS(stretch, ALL), 0);

/** Time of the lap with a choice of parts from the reference, s: its own with none, the reference's with everything. */
export const timeWith = (of: Exchange, { masks, rest }: Taken): number =>
  of.stretches.reduce((timeS, stretch, i) => timeS - savedS(stretch, masks[i]!), of.lapS) - (rest ? restS(of) : 0);

/** Parts that are named one by one. */
const MOST_NAMED = 3;
const DIGITS = 2;

/** The lap that a choice gives, in a sentence. */
export function exchangeWords(of: Exchange, taken: Taken): string {
  const timeS = timeWith(of, taken);
  const parts = of.stretches.flatMap(({ words }, i) =>
    PART_TITLES.flatMap((title, bit) => ((taken.masks[i]! >> bit) & 1 ? [`the ${title} of ${words}`] : [])),
  );
  if (taken.rest) parts.push('the rest');
  if (parts.length === 0) return `${lapTime(timeS, DIGITS)}, the lap as it was ridden.`;
  const every = of.stretches.every((stretch, i) => taken.masks[i] === partsOf(stretch));
  if (every && taken.rest) return `${lapTime(timeS, DIGITS)}, the reference lap: everything is taken from it.`;
  const apart = (byS: number, more: string, less: string): string =>
    Number(Math.abs(byS).toFixed(DIGITS)) === 0
      ? ''
      : `${seconds(Math.abs(byS), null, DIGITS)} ${byS > 0 ? more : less}`;
  const sides = [
    apart(timeS - of.lapS, 'more than was ridden', 'less than was ridden') || 'as much as was ridden',
    apart(timeS - of.referenceS, 'behind the reference', 'ahead of the reference') || 'level with the reference',
  ];
  const which = every ? 'every part' : parts.length > MOST_NAMED ? plural(parts.length, 'part') : listWords(parts);
  return `${lapTime(timeS, DIGITS)}, ${sides.join(' and ')}, with ${which} from the reference.`;
}
