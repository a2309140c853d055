import type { Gate } from '../circuit/circuit.ts';

export interface Crossing {
  readonly timeS: number;
  /** Index of the first fix behind the gate. */
  readonly fix: number;
  /** Component across the gate, m/s. */
  readonly speedMps: number;
}

/** Distance of a point ahead of the gate along the direction of travel; negative before it. */
export function aheadOf(gate: Gate, eastM: number, northM: number): number {
  const u = gate.leftEastM - gate.rightEastM;
  const w = gate.leftNorthM - gate.rightNorthM;
  return ((eastM - gate.leftEastM) * w - (northM - gate.leftNorthM) * u) / Math.sqrt(u * u + w * w);
}

/** Place along the gate: 0 at the left post, 1 at the right one. */
export function alongGate(gate: Gate, eastM: number, northM: number): number {
  const u = gate.rightEastM - gate.leftEastM;
  const w = gate.rightNorthM - gate.leftNorthM;
  return ((eastM - gate.leftEastM) * u + (northM - gate.leftNorthM) * w) / (u * u + w * w);
}

/**
 * When a distance reaches zero between two samples: the cubic that has both distances and both speeds, which under
 * constant acceleration is the exact parabola. A straight line instead errs by up to a·dt²/8 in distance.
 *
 * @returns seconds after the first sample, in [0, dt]
 */
export function crossingDelay(dt: number, d0: number, v0: number, d1: number, v1: number): number {
  let low = 0;
  let high = 1;
  let u = d0 / (d0 - d1);
  for (let k = 0; k < 60; k++) {
    const a = 2 * (d0 - d1) + (v0 + v1) * dt;
    const b = 3 * (d1 - d0) - (2 * v0 + v1) * dt;
    const f = ((a * u + b) * u + v0 * dt) * u + d0;
    const slope = (3 * a * u + 2 * b) * u + v0 * dt;
    if (f > 0) high = u;
    else low = u;
    const newton = u - f / slope;
    const next = newton > low && newton < high ? newton : (low + high) / 2;
    if (Math.abs(next - u) < 1e-15) break;
    u = next;
  }
  return u * dt;
}

/** Going back over the gate before it was this many gate widths away takes a crossing back. */
const AWAY_WIDTHS = 2;

/**
 * Every crossing of the gate in the direction of travel and between its posts.
 *
 * A machine that stands on the gate and drifts across it, back and forth, crosses once: going back before it was two
 * gate widths away takes the crossing back, and the last one counts. Riding back over the gate later takes nothing back.
 * A single fix far off the two beside it is passed over.
 *
 * @param timeS (n,) rising
 * @param eastM (n,)
 * @param northM (n,)
 */
export function crossings(gate: Gate, timeS: Float64Array, eastM: Float64Array, northM: Float64Array): Crossing[] {
  const found: Crossing[] = [];
  const width = Math.hypot(gate.leftEastM - gate.rightEastM, gate.leftNorthM - gate.rightNorthM);
  // How far it has been since the last crossing that counted. Not the way it went: noise at standstill goes a long way.
  let away = 0;
  let before = 0;
  let last: Crossing | null = null;
  const ahead = aheadOfAll(gate, eastM, northM);
  for (let i = 1; i < timeS.length; i++) {
    if (stray(eastM, northM, before, i, width)) continue;
    const from = before;
    before = i;
    if (last) away = Math.max(away, distance(eastM, northM, i, last.fix));
    const d0 = ahead[from]!;
    const d1 = ahead[i]!;
    if (d0 < 0 === d1 < 0) continue;
    const along = alongBetween(gate, eastM, northM, from, i, d0 / (d0 - d1));
    if (along < 0 || along > 1) continue;
    if (d0 >= 0) {
      if (away < AWAY_WIDTHS * width) found.pop();
      last = found.at(-1) ?? null;
      continue;
    }
    last = crossing(timeS, ahead, from, i);
    found.push(last);
    away = 0;
  }
  return found;
}

/** Place along the gate of a point so far on the way from one fix to another. */
function alongBetween(
  gate: Gate,
  eastM: Float64Array,
  northM: Float64Array,
  from: number,
  to: number,
  share: number,
): number {
  const east = eastM[from]! + share * (eastM[to]! - eastM[from]!);
  const north = northM[from]! + share * (northM[to]! - northM[from]!);
  return alongGate(gate, east, north);
}

/** The crossing between two fixes. */
function crossing(timeS: Float64Array, ahead: Float64Array, from: number, to: number): Crossing {
  const dt = timeS[to]! - timeS[from]!;
  const [d0, d1] = [ahead[from]!, ahead[to]!];
  const delay = crossingDelay(dt, d0, speedAcross(timeS, ahead, from), d1, speedAcross(timeS, ahead, to));
  return { timeS: timeS[from]! + delay, fix: to, speedMps: (d1 - d0) / dt };
}

function aheadOfAll(gate: Gate, eastM: Float64Array, northM: Float64Array): Float64Array {
  const out = new Float64Array(eastM.length);
  for (let i = 0; i < out.length; i++) out[i] = aheadOf(gate, eastM[i]!, northM[i]!);
  return out;
}

/** Whether a fix lies far off both its neighbours, which lie close together: half a gate width, and twice their distance. */
function stray(eastM: Float64Array, northM: Float64Array, before: number, i: number, width: number): boolean {
  if (i + 1 >= eastM.length) return false;
  const near = Math.min(distance(eastM, northM, before, i), distance(eastM, northM, i, i + 1));
  return near > width / 2 && near > 2 * distance(eastM, northM, before, i + 1) + width / 2;
}

function distance(eastM: Float64Array, northM: Float64Array, a: number, b: number): number {
  return Math.sqrt((eastM[b]! - eastM[a]!) ** 2 + (northM[b]! - northM[a]!) ** 2);
}

/** Central difference of the distance ahead of the gate. */
function speedAcross(timeS: Float64Array, ahead: Float64Array, i: number): number {
  const a = Math.max(0, i - 1);
  const b = Math.min(timeS.length - 1, i + 1);
  return (ahead[b]! - ahead[a]!) / (timeS[b]! - timeS[a]!);
}
