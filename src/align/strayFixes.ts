import type { Fixes } from '../laps/trace.ts';

/** A fix off both its neighbours by this many standard deviations, and by twice their own distance, is stray. */
const STRAY_SIGMAS = 8;

/**
 * Single fixes far off the two beside them, which lie close together: no ride goes there and back between two fixes.
 * Found before anything else is, because one of them turns the direction of travel and the speed of its neighbours.
 *
 * @returns (m,) 1 where stray
 */
export function strayFixes({ eastM, northM, sigmaM }: Fixes): Uint8Array {
  const stray = new Uint8Array(eastM.length);
  let before = 0;
  for (let i = 1; i + 1 < stray.length; i++) {
    const least = STRAY_SIGMAS * sigmaM[i]!;
    const off = Math.min(far(eastM, northM, before, i), far(eastM, northM, i, i + 1));
    if (off > least && off > 2 * far(eastM, northM, before, i + 1) + least) stray[i] = 1;
    else before = i;
  }
  return stray;
}

function far(eastM: Float64Array, northM: Float64Array, a: number, b: number): number {
  return Math.sqrt((eastM[b]! - eastM[a]!) ** 2 + (northM[b]! - northM[a]!) ** 2);
}
