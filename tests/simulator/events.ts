import type { NamedBend } from './course.ts';
import type { Motion } from './motion.ts';
import type { Ridden } from './ride.ts';

/** What a rider did in one bend of one lap: stations from the gate of that lap, null where it was not done. */
export interface BendEvents {
  readonly bend: string;
  /** Front brake above half a bar, pauses of up to 0.4 s within; the application with the highest pressure. */
  readonly brakeOnM: number | null;
  readonly brakeOffM: number | null;
  readonly peakDecelerationMps2: number;
  readonly slowestM: number;
  readonly slowestMps: number;
  readonly maxLeanDeg: number;
  /** Where the drive out of the bend begins; null where the bend is driven through. */
  readonly pickUpM: number | null;
  /** From the throttle half shut to the first lower gear, s. */
  readonly entryS: number | null;
}

const BRAKE_ON_PA = 0.5e5;
const PAUSE_S = 0.4;

/** Looks at the true controls of a lap, node by node. */
export function eventsOf(
  run: Ridden,
  motion: Motion,
  bends: readonly NamedBend[],
  lapLengthM: number,
  lap: number,
): BendEvents[] {
  const h = run.path.stepM;
  const n = run.path.count;
  const startM = (lap - 1) * lapLengthM - run.path.firstM;
  const node = (m: number) => Math.min(n - 1, Math.max(0, Math.round((startM + m) / h)));
  const stationOf = (i: number) => i * h - startM;
  const slowestIn = (bend: NamedBend, shiftM = 0) => {
    let slow = node(bend.fromM + shiftM);
    for (let i = slow; i <= node(bend.toM + shiftM); i++) if (run.speed[i]! < run.speed[slow]!) slow = i;
    return slow;
  };
  return bends.map((bend, k) => {
    const slow = slowestIn(bend);
    const before = k === 0 ? slowestIn(bends.at(-1)!, -lapLengthM) : slowestIn(bends[k - 1]!);
    const after = k === bends.length - 1 ? slowestIn(bends[0]!, lapLengthM) : slowestIn(bends[k + 1]!);
    const { brakeFront, throttle, roll, accLong } = motion;
    let peak = before;
    for (let i = before; i <= Math.max(slow, node(bend.toM)); i++) if (brakeFront[i]! > brakeFront[peak]!) peak = i;
    const braking = brakeFront[peak]! > 2 * BRAKE_ON_PA;
    const on = walk(run, brakeFront, peak, -1, before);
    const off = walk(run, brakeFront, peak, 1, after);
    let hardest = before;
    for (let i = before; i <= slow; i++) if (accLong[i]! < accLong[hardest]!) hardest = i;
    let lean = 0;
    for (let i = node(bend.fromM); i <= node(bend.toM); i++) lean = Math.max(lean, Math.abs(roll[i]!));
    return {
      bend: bend.name,
      brakeOnM: braking ? stationOf(on) : null,
      brakeOffM: braking ? stationOf(off) : null,
      peakDecelerationMps2: -accLong[hardest]!,
      slowestM: stationOf(slow),
      slowestMps: run.speed[slow]!,
      maxLeanDeg: (lean * 180) / Math.PI,
      pickUpM: pickUp(throttle, node(bend.fromM), slow, after),
      entryS: braking ? entry(run, throttle, on, off) : null,
    };
  });

  /** Back from six tenths of the most throttle before the next bend to where the bend no longer decides the speed. */
  function pickUp(throttle: Float64Array, from: number, slow: number, after: number): number | null {
    let most = slow;
    for (let i = slow; i < after; i++) if (throttle[i]! > throttle[most]!) most = i;
    let i = slow;
    while (i < most && throttle[i]! < 0.6 * throttle[most]!) i++;
    while (i > from && run.profile.free[i - 1] === 1) i--;
    return i > from ? stationOf(i) : null;
  }
}

/** From a peak to where a value stays below half a bar for longer than a pause. */
function walk(run: Ridden, values: Float64Array, peak: number, step: 1 | -1, end: number): number {
  let last = peak;
  for (let i = peak; (end - i) * step > 0; i += step) {
    if (values[i]! >= BRAKE_ON_PA) last = i;
    else if (Math.abs(run.time[i]! - run.time[last]!) > PAUSE_S) break;
  }
  return last;
}

/** Seconds from the throttle half shut to the first lower gear under brakes; null without one. */
function entry(run: Ridden, throttle: Float64Array, on: number, off: number): number | null {
  const { gear } = run.profile;
  let shut = on;
  while (shut > 0 && throttle[shut]! < 0.5) shut--;
  let down = on;
  while (down < off && gear[down]! >= gear[on]!) down++;
  return down < off ? run.time[down]! - run.time[shut]! : null;
}
