import { largest } from '../numbers/largest.ts';

/** Share of the corner's strongest acceleration above which a rider is driving out of it, not holding the machine up. */
export const DRIVING_SHARE = 0.6;
/** Acceleration is taken over this time, s. */
const DRIVING_S = 0.3;
/** A rise of the throttle by less than this share of its travel opens nothing. */
const LEAST_RISE = 0.1;

/**
 * Where a rider opens the throttle to leave a corner: half way up the rise that drives the machine out of it, as a row
 * with its fraction.
 *
 * Speed says which rise it is: the one that leads to {@link DRIVING_SHARE} of the strongest acceleration before the next
 * corner. The throttle says when, because acceleration follows late and little at a high lean. Half way up is where it
 * moves fastest, so that neither scatter nor a trickle that holds the machine through the bend changes the reading: the
 * foot of a rise is one thing where the trickle has a dip before it, and another where it has none. A rider who drives
 * through the whole corner, as through a flat kink, does not pick up.
 *
 * @param throttle (n,) 0 to 1
 * @param speedMps (n,)
 * @param entry,slowest,last rows of the corner's entry, its slowest place, and where the next corner begins
 */
export function pickUpRow(
  throttle: Float64Array,
  speedMps: Float64Array,
  timeS: Float64Array,
  entry: number,
  slowest: number,
  last: number,
): number | null {
  const end = Math.min(last, throttle.length);
  const gained = gains(speedMps, timeS, slowest, end);
  const most = largest(gained);
  let start = slowest;
  while (start < end && gained[start - slowest]! < DRIVING_SHARE * most) start++;
  if (start >= end || most <= 0) return null;
  // The throttle is open a little before the machine shows it; its rise may end a little after.
  let top = start;
  for (let i = start; i < end && timeS[i]! - timeS[start]! <= DRIVING_S; i++)
    if (throttle[i]! > throttle[top]!) top = i;
  let least = throttle[top]!;
  for (let i = slowest; i < top; i++) least = Math.min(least, throttle[i]!);
  if (throttle[top]! - least < LEAST_RISE) return null;
  const half = (throttle[top]! + least) / 2;
  let row = top;
  while (row > entry && throttle[row - 1]! > half) row--;
  if (row === entry) return null;
  const [below, above] = [throttle[row - 1]!, throttle[row]!];
  return row - (above - half) / (above - below);
}

/** Mean acceleration over the time that follows each of the rows [from, end), m/s². */
function gains(speedMps: Float64Array, timeS: Float64Array, from: number, end: number): Float64Array {
  const out = new Float64Array(Math.max(0, end - from));
  for (let i = from, to = from; i < end; i++) {
    while (to + 1 < end && timeS[to]! - timeS[i]! < DRIVING_S) to++;
    // Near the end too little time is left to tell a gain from scatter.
    if (timeS[to]! - timeS[i]! < DRIVING_S) break;
    out[i - from] = (speedMps[to]! - speedMps[i]!) / (timeS[to]! - timeS[i]!);
  }
  return out;
}
