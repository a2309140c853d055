import { currentLevel, type History } from './currentLevel.ts';
import { randomFrom } from './random.ts';
import { above, type Shrunk, shrink } from './shrink.ts';

/** A loss that could be worked on: a cause in a corner. */
export interface Candidate {
  readonly key: string;
  /** Median loss of each session in seconds, in order of time, all candidates over the same sessions. */
  readonly history: History;
  /** Standard error of each of these medians from the laps of its session, s; all candidates have it, or none. */
  readonly errors?: History;
  /** Share of a gain in simulation that has arrived on the track for such a loss, with its standard deviation; null where
   * that is not known. Only for losses that are worked on in simulation. */
  readonly transfer?: { readonly share: number; readonly sd: number } | null;
}

export interface Ranked {
  readonly key: string;
  /** Loss of the last session as it was measured; null where it was not. */
  readonly lastS: number | null;
  /** Remaining loss, shrunk. */
  readonly remainingS: number;
  readonly sd: number;
  /** Probability that there is a loss at all. */
  readonly real: number;
  /** Probability of being among the `worst` largest remaining losses. */
  readonly amongWorst: number;
  /** What closing it would bring on the track: remaining loss times transfer; the remaining loss where that is unknown. */
  readonly expectedS: number;
  readonly transferKnown: boolean;
}

const DRAWS = 2000;

/** Candidates with what remains of their losses, drawn together; those never measured are left out. */
export function remaining(
  candidates: readonly Candidate[],
): { candidate: Candidate; loss: Shrunk; expectedS: number }[] {
  const errors = candidates.flatMap((c) => (c.errors ? [c.errors] : []));
  const levels = currentLevel(
    candidates.map(({ history }) => history),
    errors.length === candidates.length ? errors : undefined,
  );
  const kept = candidates.flatMap((candidate, i) => {
    const level = levels[i];
    return level && level.standardError > 0 ? [{ candidate, level }] : [];
  });
  const { items } = shrink(kept.map(({ level }) => level));
  return kept
    .map(({ candidate }, i) => ({
      candidate,
      loss: items[i]!,
      expectedS: items[i]!.value * (candidate.transfer?.share ?? 1),
    }))
    .sort((a, b) => b.expectedS - a.expectedS || (a.candidate.key < b.candidate.key ? -1 : 1));
}

/**
 * What to work on next: remaining losses, largest expected gain first, each with the doubt about its place.
 *
 * @param worst how many largest losses `amongWorst` asks about
 * @param seed of the draws
 * @returns empty where there is no candidate with a measured loss, or no loss was measured in two sessions
 *
 * Method: `currentLevel` for each loss, `shrink` across them, ranks by drawing from the results (Laird & Louis, J. Educ.
 * Stat. 14 (1989) 29).
 */
export function whatNext(candidates: readonly Candidate[], worst: number, seed: number): Ranked[] {
  const list = remaining(candidates);
  const random = randomFrom(seed);
  const hits = list.map(() => 0);
  for (let d = 0; d < DRAWS; d++) {
    const drawn = list.map(({ loss }) => loss.value + loss.sd * random.normal());
    const limit = drawn.toSorted((a, b) => b - a)[Math.min(worst, drawn.length) - 1] ?? Number.POSITIVE_INFINITY;
    drawn.forEach((value, i) => {
      if (value >= limit) hits[i]!++;
    });
  }
  return list.map(({ candidate, loss, expectedS }, i) => ({
    key: candidate.key,
    lastS: candidate.history.at(-1) ?? null,
    remainingS: loss.value,
    sd: loss.sd,
    real: above(loss),
    amongWorst: hits[i]! / DRAWS,
    expectedS,
    transferKnown: candidate.transfer !== null && candidate.transfer !== undefined,
  }));
}
