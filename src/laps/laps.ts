import type { Gate } from '../circuit/circuit.ts';
import { quantile } from '../numbers/quantile.ts';
import { rowsWithin } from '../numbers/rowsWithin.ts';
import type { RunSetup } from '../read/sessionFile.ts';
import { kmh } from '../units.ts';
import type { Clock } from './clock.ts';
import { type Crossing, crossings } from './gate.ts';
import { speedRows } from './speedRows.ts';
import type { Trace } from './trace.ts';

/** Why a lap is not counted, or was put back by a person. */
export interface Reason {
  readonly code:
    | 'NOT_ROUND'
    | 'JUMPED'
    | 'STOOD_STILL'
    | 'LEFT_COURSE'
    | 'HOLE'
    | 'POSITION_LOST'
    | 'POSITION_POOR'
    | 'CLOCK_BACK'
    | 'REVERSED'
    | 'INTERVENTION'
    | 'EXCLUDED'
    | 'INCLUDED';
  readonly text: string;
}

export type LapKind = 'out' | 'flying' | 'standing' | 'in';

/** A stretch of a run between two crossings of the gate, or between one and an end of the run. */
export interface Lap {
  /** 0 is the out lap; 1..n run from gate to gate. */
  readonly number: number;
  readonly kind: LapKind;
  /** On the clock of the trace, s; the crossings are refined when the lap is aligned. */
  readonly startS: number;
  readonly endS: number;
  /** Whether start and end are crossings of the gate. */
  readonly fromGate: boolean;
  readonly toGate: boolean;
  readonly speedLimitMps: number | null;
  readonly officialS: number | null;
  readonly reasons: readonly Reason[];
}

/** Below this, and below this share of the run's top speed, a machine stands, m/s. */
export const STANDING_MPS = 1;
export const STANDING_SHARE = 0.05;
/** A lap is a standing lap where the machine stood within this time before the gate. */
export const STANDING_START_S = 15;
/** Standing longer than this within a lap makes it invalid, s. */
export const STOOD_STILL_S = 2;
/** A hole may spoil the time at a station by this much, with the acceleration below, s and m/s². */
export const HOLE_ERROR_S = 0.01;
export const HOLE_ACCELERATION_MPS2 = 10;
const HOLE_LIMITS_S = [0.25, 1] as const;

/**
 * Longest hole that is let pass at a speed: over a hole h the place is off by up to a·h²/8, so the time by a·h²/(8v).
 *
 * @example holeLimitS(50) // 0.63
 */
export function holeLimitS(speedMps: number): number {
  const limit = Math.sqrt((8 * HOLE_ERROR_S * Math.max(0, speedMps)) / HOLE_ACCELERATION_MPS2);
  return Math.min(HOLE_LIMITS_S[1], Math.max(HOLE_LIMITS_S[0], limit));
}

/** Cuts a run at the gate and says of each lap what the log alone can say against it. */
export function cutLaps(trace: Trace, gate: Gate, setup: RunSetup): Lap[] {
  const { fixes, timeS, clock } = trace;
  const found = crossings(gate, fixes.timeS, fixes.eastM, fixes.northM);
  const start = timeS[0] ?? 0;
  const end = timeS[timeS.length - 1] ?? 0;
  const { timeS: speedTime, speedMps: speed } = speedRows(timeS, trace.speedMps) ?? {
    timeS: fixes.timeS,
    speedMps: fixSpeed(trace),
  };
  // Not the very top: one wild value must not make a slow lap a standing one.
  const standing = Math.min(STANDING_MPS, STANDING_SHARE * quantile(speed, 0.95));

  const cut = (number: number, from: Crossing | null, to: Crossing | null): Lap => {
    const before = found[number - 2]?.timeS ?? start;
    const startS = from?.timeS ?? start;
    const endS = to?.timeS ?? end;
    const kind: LapKind =
      from === null
        ? 'out'
        : to === null
          ? 'in'
          : stoodBetween(speedTime, speed, Math.max(before, startS - STANDING_START_S), startS, standing)
            ? 'standing'
            : 'flying';
    return {
      number,
      kind,
      startS,
      endS,
      fromGate: from !== null,
      toGate: to !== null,
      speedLimitMps: setup.speedLimitMps,
      officialS: setup.official.get(number) ?? null,
      reasons: reasons(clock, setup, speedTime, speed, standing, startS, endS, from !== null && to !== null),
    };
  };
  const laps: Lap[] = [];
  const first = found[0] ?? null;
  if (first === null || fixes.timeS[0]! < first.timeS) laps.push(cut(0, null, first));
  found.forEach((crossing, k) => {
    const next = found[k + 1] ?? null;
    if (next !== null || crossing.timeS < end) laps.push(cut(k + 1, crossing, next));
  });
  return laps;
}

/** Half of the time over which positions say how fast a run without a speed channel is: noise must not look like riding. */
const FIX_SPEED_S = 0.5;

/** Speed from the fixes about half a second before and after. */
function fixSpeed({ fixes }: Trace): Float64Array {
  const { timeS, eastM, northM } = fixes;
  const last = timeS.length - 1;
  let a = 0;
  let b = 0;
  const out = new Float64Array(timeS.length);
  for (let i = 0; i < out.length; i++) {
    const t = timeS[i]!;
    while (timeS[a + 1]! < t - FIX_SPEED_S) a++;
    while (b < last && timeS[b]! < t + FIX_SPEED_S) b++;
    const chordM = Math.sqrt((eastM[b]! - eastM[a]!) ** 2 + (northM[b]! - northM[a]!) ** 2);
    out[i] = chordM / (timeS[b]! - timeS[a]!);
  }
  return out;
}

function stoodBetween(timeS: Float64Array, speed: Float64Array, fromS: number, toS: number, standing: number): boolean {
  const [first, end] = rowsWithin(timeS, fromS, toS);
  for (let i = first; i < end; i++) if (speed[i]! < standing) return true;
  return false;
}

function reasons(
  clock: Clock,
  setup: RunSetup,
  speedTime: Float64Array,
  speed: Float64Array,
  standing: number,
  startS: number,
  endS: number,
  whole: boolean,
): Reason[] {
  const out: Reason[] = [];
  for (const gap of clock.breaks)
    if (gap.timeS > startS && gap.timeS <= endS)
      out.push({ code: 'CLOCK_BACK', text: `the clock went back by ${gap.backS.toFixed(2)} s` });
  for (const incident of setup.incidents)
    if (incident.timeS >= startS && incident.timeS < endS)
      out.push({ code: 'INTERVENTION', text: `${incident.kind} at ${incident.timeS.toFixed(1)} s of the log` });

  let still = 0;
  let longest = 0;
  let worst = { hole: 0, limit: 0, speed: 0, excess: 0 };
  const [from, to] = rowsWithin(speedTime, startS, endS);
  for (let i = Math.max(1, from); i < Math.min(to + 1, speedTime.length); i++) {
    const t = speedTime[i]!;
    if (t <= startS || speedTime[i - 1]! >= endS) continue;
    const hole = t - speedTime[i - 1]!;
    if (hole <= HOLE_LIMITS_S[0]) continue;
    const v = speed[i - 1]!;
    const limit = holeLimitS(v);
    if (v >= standing && hole - limit > worst.excess) worst = { hole, limit, speed: v, excess: hole - limit };
  }
  if (worst.excess > 0)
    out.push({
      code: 'HOLE',
      text: `a hole of ${worst.hole.toFixed(2)} s in the log at ${kmh(worst.speed).toFixed(0)} km/h, where ${worst.limit.toFixed(2)} s pass`,
    });
  if (!whole) return out;
  for (let i = Math.max(1, from); i < to; i++) {
    const t = speedTime[i]!;
    if (t <= startS) continue;
    still = speed[i]! < standing ? still + t - speedTime[i - 1]! : 0;
    longest = Math.max(longest, still);
  }
  if (longest > STOOD_STILL_S) out.push({ code: 'STOOD_STILL', text: `stood still for ${longest.toFixed(1)} s` });
  return out;
}
