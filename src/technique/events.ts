import type { AlignedLap } from '../align/alignLap.ts';
import type { AlignedRun } from '../align/alignRun.ts';
import { onTimeline } from '../align/channel.ts';
import { localLine } from '../align/smooth.ts';
import { largest } from '../numbers/largest.ts';
import { ranked } from '../numbers/quantile.ts';

/** Line pressure above which a brake is on, Pa, and share of full travel where the channel is one. */
export const BRAKE_ON_PA = 0.5e5;
export const BRAKE_ON_SHARE = 0.03;
/** An event shorter than this is not one, s. */
export const BRAKE_ON_S = 0.06;
export const THROTTLE_ON_S = 0.1;
/** Deceleration beyond drag and engine braking that counts as braking where there is no brake channel, m/s². */
export const BRAKING_MPS2 = 2;
/** Drag at v is v² times this, 1/m (2 m/s² at 52 m/s); engine braking with the throttle closed, m/s². */
export const DRAG_PER_M = 7.4e-4;
export const ENGINE_BRAKING_MPS2 = 0.5;
/** Two applications of the brake closer than this are one, s. */
export const BRAKE_PAUSE_S = 0.4;
/** An application that takes off less than this is none, m/s. */
export const BRAKE_LEAST_MPS = 1;
/** Throttle above which it is closed no more, and share of the most that is full. */
export const CLOSED_SHARE = 0.03;
export const FULL_SHARE = 0.95;
/** Acceleration that is pick-up where there is no throttle channel, m/s². */
export const PICK_UP_MPS2 = 1;
/** Half width of the window in which speed is differentiated, s. */
export const SLOPE_WINDOW_S = 0.1;

export type BrakingRule = 'brake' | 'speed';
export type PickUpRule = 'throttle' | 'speed';

/** What a rider's controls say along the rows of a lap's run, computed once a lap; not to be changed. */
export interface Signals {
  /** (n,) m/s², from the speed. */
  readonly accelerationMps2: Float64Array;
  /** (n,) 1 where the brake is on by the channel; null without one. */
  readonly brakeOn: Uint8Array | null;
  /** (n,) 1 where the deceleration can only come from a brake. */
  readonly slowing: Uint8Array;
  /** (n,) 0 to 1, scaled by the most that the lap saw; null without the channel. */
  readonly throttle: Float64Array | null;
}

/** Reads the signals over the rows of a lap; outside them arrays are empty of meaning. */
export function signalsOf(lap: AlignedLap, from: number, to: number): Signals {
  const { run } = lap;
  const speed = run.speedMps.subarray(from, to);
  const accelerationMps2 = slopeOf(run, run.speedMps, from, to);
  const slowing = slowingRows(accelerationMps2, speed);
  const throttle = onTimeline(run, 'throttle')?.subarray(from, to) ?? null;
  return { accelerationMps2, brakeOn: brakeOn(lap, from, to), slowing, throttle: throttle && opened(throttle) };
}

function slowingRows(accelerationMps2: Float64Array, speedMps: Float64Array): Uint8Array {
  const out = new Uint8Array(speedMps.length);
  for (let i = 0; i < out.length; i++)
    if (accelerationMps2[i]! < -(BRAKING_MPS2 + ENGINE_BRAKING_MPS2 + DRAG_PER_M * speedMps[i]! ** 2)) out[i] = 1;
  return out;
}

/** A grip that never reaches its stop still has a fullest opening; one that was never opened is not a throttle. */
function opened(throttle: Float64Array): Float64Array | null {
  const most = largest(throttle);
  if (!(most > 0.2)) return null;
  if (most === 1) return throttle;
  const out = new Float64Array(throttle.length);
  for (let i = 0; i < out.length; i++) out[i] = throttle[i]! / most;
  return out;
}

const slopes = new WeakMap<AlignedRun, Map<Float64Array, Float64Array>>();

/** How fast a quantity of the run's rows changes, over its rows [from, to); worked out once a run where it can be. */
export function slopeOf(run: AlignedRun, values: Float64Array, from: number, to: number): Float64Array {
  const timeS = run.timeS.subarray(from, to);
  const window = slopeWindow(timeS);
  // Of a slow log the window depends on the rows.
  if (window !== SLOPE_WINDOW_S) return localLine(timeS, values.subarray(from, to), timeS, window).slope;
  let known = slopes.get(run);
  if (!known) slopes.set(run, (known = new Map()));
  let slope = known.get(values);
  if (!slope) known.set(values, (slope = localLine(run.timeS, values, run.timeS, window).slope));
  return slope.subarray(from, to);
}

/** Wide enough to hold three samples of a slow log. */
function slopeWindow(timeS: Float64Array): number {
  const n = timeS.length;
  const step = n > 1 ? (timeS[n - 1]! - timeS[0]!) / (n - 1) : 0;
  return Math.max(SLOPE_WINDOW_S, 2.1 * step);
}

function brakeOn(lap: AlignedLap, from: number, to: number): Uint8Array | null {
  const { run } = lap;
  let on: Uint8Array | null = null;
  for (const name of ['brake_front', 'brake_rear'] as const) {
    const values = onTimeline(run, name)?.subarray(from, to);
    if (!values) continue;
    const unit = run.trace.recording.columns.find((column) => column.name === name)?.inside;
    // Pressure sensors rest off zero: what the channel shows most of the time without braking is its zero.
    const zero = values.length > 0 ? ranked(values, Math.floor(values.length / 10)) : 0;
    const limit = zero + (unit === 'Pa' ? BRAKE_ON_PA : BRAKE_ON_SHARE);
    on ??= new Uint8Array(values.length);
    markAbove(on, values, limit);
  }
  return on;
}

function markAbove(on: Uint8Array, values: Float64Array, limit: number): void {
  for (let i = 0; i < values.length; i++) if (values[i]! > limit) on[i] = 1;
}
