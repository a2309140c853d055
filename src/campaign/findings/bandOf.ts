import { median } from '../../numbers/quantile.ts';
import { humanBand } from '../../statistics/humanBand.ts';
import { cornerKey, type Digest, LAP } from './digest.ts';
import type { SessionFindings } from './schema.ts';
import { lapsIn } from './sides.ts';
import { bandFound } from './written.ts';

/**
 * Where the median of a session lies among the reference rider's own laps of the day of the reference lap.
 *
 * @param reference session of the reference lap
 */
export function bandOf(
  session: Digest,
  reference: Digest | undefined,
  corners: readonly string[],
): SessionFindings['band'] {
  if (!reference || lapsIn(reference).length === 0) return null;
  const at = (key: string) => {
    const of = (digest: Digest): number[] =>
      lapsIn(digest).flatMap(({ gapS }) => (gapS[key] === undefined ? [] : [gapS[key]]));
    return bandFound(humanBand(median(of(session)), of(reference)));
  };
  return { lap: at(LAP), corners: corners.map((corner) => ({ corner, ...at(cornerKey(corner)) })) };
}
