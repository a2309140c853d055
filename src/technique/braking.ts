import { BRAKE_LEAST_MPS, BRAKE_ON_S, BRAKE_PAUSE_S } from './events.ts';

/** One application of the brakes: rows [from, to). */
export interface Application {
  readonly from: number;
  readonly to: number;
}

/**
 * The application of the brakes that belongs to a corner: the one that takes off the most speed before the slowest
 * place, with the short pauses inside it.
 *
 * @param on (n,) 1 where braking
 * @param first,slowest rows between which the corner is approached; braking may last beyond the slowest place
 * @param last row at which the corner ends
 */
export function applicationBefore(
  on: Uint8Array,
  timeS: Float64Array,
  speedMps: Float64Array,
  first: number,
  slowest: number,
  last: number,
): Application | null {
  const found: { from: number; to: number }[] = [];
  let open = -1;
  for (let i = first; i <= last; i++) {
    const braking = i < last && on[i] === 1;
    if (braking && open === -1) open = i;
    if (!braking && open !== -1) {
      const before = found.at(-1);
      if (before && timeS[open]! - timeS[before.to - 1]! < BRAKE_PAUSE_S) before.to = i;
      else found.push({ from: open, to: i });
      open = -1;
    }
  }
  let best: Application | null = null;
  let most = BRAKE_LEAST_MPS;
  for (const application of found) {
    if (application.from > slowest) continue;
    if (timeS[application.to - 1]! - timeS[application.from]! < BRAKE_ON_S) continue;
    const off = speedMps[application.from]! - speedMps[Math.min(application.to, last - 1)]!;
    if (off > most) [best, most] = [application, off];
  }
  return best;
}
