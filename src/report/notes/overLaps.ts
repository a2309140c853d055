import type { LapResult } from '../../campaign/results.ts';
import type { Results } from '../readResults.ts';
import { summary } from '../summary.ts';
import { plural } from '../words.ts';
import type { Given } from './given.ts';
import type { Place } from './place.ts';
import type { Ask, Reading, Scale, Stands } from './quantity.ts';

const TAKES = ['median', 'least', 'greatest'] as const;

/** Key that says which of several laps is meant. */
export const TAKE = {
  name: 'take',
  means: 'of several laps: `median` (as long as nothing is said), `least` or `greatest`',
};

/** The laps that a place speaks of: the one it names, or the counted laps of the session's rider. */
export function lapsOf(results: Results, { session, run, lap }: Place): readonly LapResult[] {
  if (lap) return [lap];
  return results
    .laps(session)
    .filter((of) => of.speaks && (run === null || of.run === run))
    .map((of) => of.lap);
}

/**
 * A number that every lap has, over the laps of a place.
 *
 * @param each value and, where known, one standard deviation of a lap; null where the lap has none
 * @param digits where several laps are taken together: laps differ, so their median has fewer digits than one of them
 */
export function overLaps(
  { results, of, given }: Pick<Ask, 'results' | 'of'> & { readonly given: Pick<Given, 'oneOf'> },
  scale: Scale,
  stands: Stands,
  each: (lap: LapResult) => { readonly value: number; readonly sigma: number | null } | null,
  digits = scale.digits,
): Reading {
  const take = given.oneOf('take', TAKES) ?? 'median';
  const laps = lapsOf(results, of);
  const read = laps.flatMap((lap) => each(lap) ?? []);
  const all = summary(read.map(({ value }) => value));
  if (!all)
    return {
      value: null,
      why: of.lap ? 'that lap has no such value' : `none of ${plural(laps.length, 'counted lap')} has such a value`,
      scale,
      sigma: null,
      range: null,
      stands,
    };
  if (of.lap) return { value: all.median, why: '', scale, sigma: read[0]!.sigma, range: null, stands };
  return {
    value: { median: all.median, least: all.low, greatest: all.high }[take],
    why: '',
    scale: { ...scale, digits },
    sigma: null,
    range: { low: all.low, high: all.high, laps: all.n },
    stands,
  };
}
