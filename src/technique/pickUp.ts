import { PICK_UP_SHARE, THROTTLE_ON_S } from './events.ts';

/** A rise that pauses longer than this began anew after the pause, s. */
export const PICK_UP_PAUSE_S = 0.3;
/** What counts as a pause: a rise of less than this share of full throttle. */
const PAUSE_SHARE = 0.02;

/**
 * Row at which a rider opens the throttle to leave a corner: where the rise begins that takes it past half of the most
 * it reaches before the next corner. A trickle that holds the machine through the bend is not it, however long; nor is
 * a rider who drives through the whole corner, as through a flat kink, said to pick up.
 *
 * @param throttle (n,) 0 to 1
 * @param entry,slowest,last rows of the corner's entry, its slowest place, and where the next corner begins
 */
export function pickUpRow(
  throttle: Float64Array,
  timeS: Float64Array,
  entry: number,
  slowest: number,
  last: number,
): number | null {
  const end = Math.min(last, throttle.length);
  let most = 0;
  for (let i = slowest; i < end; i++) most = Math.max(most, throttle[i]!);
  if (most < 2 * PICK_UP_SHARE) return null;
  const half = most / 2;
  let crossing = -1;
  if (throttle[slowest]! < half) {
    for (let i = slowest; i < end && crossing === -1; i++)
      if (throttle[i]! >= half && holds(throttle, timeS, i, end, half)) crossing = i;
  } else {
    for (let i = slowest; i > entry && crossing === -1; i--) if (throttle[i - 1]! < half) crossing = i;
  }
  if (crossing === -1) return null;
  // Back down the rise to its foot.
  let foot = crossing;
  let seen = crossing;
  for (let i = crossing - 1; i >= entry; i--) {
    const value = throttle[i]!;
    if (value > throttle[foot]! + PICK_UP_SHARE) break;
    if (value < throttle[foot]!) foot = i;
    if (value < throttle[seen]! - PAUSE_SHARE) seen = i;
    else if (timeS[seen]! - timeS[i]! > PICK_UP_PAUSE_S) break;
  }
  const open = throttle[foot]! + PICK_UP_SHARE;
  let row = foot;
  while (row < crossing && throttle[row]! <= open) row++;
  return row;
}

function holds(throttle: Float64Array, timeS: Float64Array, from: number, end: number, level: number): boolean {
  for (let i = from; i < end && timeS[i]! - timeS[from]! < THROTTLE_ON_S; i++) if (throttle[i]! < level) return false;
  return true;
}
