import { largest } from '../numbers/largest.ts';
import { PICK_UP_SHARE } from './events.ts';

/** Share of the corner's strongest acceleration above which a rider is driving out of it, not holding the machine up. */
export const DRIVING_SHARE = 0.6;
/** Acceleration is taken over this time, s. */
const DRIVING_S = 0.3;
/** A rise of the throttle that rests longer than this began anew after the rest, s. */
export const PICK_UP_PAUSE_S = 0.3;
/** What counts as a rest: a rise of less than this share of full throttle. */
const REST_SHARE = 0.02;

/**
 * Row at which a rider opens the throttle to leave a corner: the foot of the rise that drives the machine out of it.
 *
 * Speed says which rise it is: the one that leads to {@link DRIVING_SHARE} of the strongest acceleration before the next
 * corner. The throttle says when it began, because acceleration follows late and little at a high lean. A trickle that
 * holds the machine through the bend is not it, however long; and a rider who drives through the whole corner, as
 * through a flat kink, does not pick up.
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
  let foot = top;
  let seen = top;
  for (let i = top - 1; i >= entry; i--) {
    const value = throttle[i]!;
    if (value > throttle[foot]! + PICK_UP_SHARE) break;
    if (value < throttle[foot]!) foot = i;
    if (value < throttle[seen]! - REST_SHARE) seen = i;
    else if (timeS[seen]! - timeS[i]! > PICK_UP_PAUSE_S) break;
  }
  if (throttle[top]! - throttle[foot]! < 2 * PICK_UP_SHARE) return null;
  const open = throttle[foot]! + PICK_UP_SHARE;
  let row = foot;
  while (row < top && throttle[row]! <= open) row++;
  return row;
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
