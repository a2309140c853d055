import type { AlignedLap } from '../align/alignLap.ts';
import { onTimeline } from '../align/channel.ts';
import { rowsWithin } from '../numbers/rowsWithin.ts';
import { applicationBefore } from './braking.ts';
import {
  type BrakingRule,
  CLOSED_SHARE,
  FULL_SHARE,
  PICK_UP_MPS2,
  type PickUpRule,
  type Signals,
  signalsOf,
  slopeOf,
  THROTTLE_ON_S,
} from './events.ts';
import { pickUpRow } from './pickUp.ts';

/** A corner as technique looks at it: from the middle of the straight before to the next corner's. */
export interface Zone {
  readonly name: string;
  /** Stations from the gate; fromM may be negative and toM beyond the length, entry lies in [0, length). */
  readonly fromM: number;
  readonly entryM: number;
  readonly exitM: number;
  readonly toM: number;
}

export interface Rules {
  readonly braking: BrakingRule;
  readonly pickUp: PickUpRule;
}

/** What was measured of one rider in one corner; null where channel or event is missing. Stations from the gate. */
export interface CornerTechnique {
  readonly corner: string;
  readonly rule: { readonly braking: BrakingRule | 'none'; readonly pickUp: PickUpRule | 'none' };
  readonly brakeOnsetM: number | null;
  readonly brakeReleaseM: number | null;
  readonly timeToPeakS: number | null;
  readonly peakDecelerationMps2: number | null;
  readonly meanDecelerationMps2: number | null;
  readonly brakeLeanOverlapS: number | null;
  readonly slowestM: number;
  readonly slowestMps: number;
  readonly maxLeanRad: number | null;
  readonly maxRollRateRadps: number | null;
  readonly pickUpM: number | null;
  readonly fullDriveM: number | null;
  readonly coastingS: number | null;
  readonly exitMps: number;
  readonly shifts: readonly { stationM: number; from: number; to: number; durationS: number | null }[];
}

/** Decelerations that differ by less are the same, m/s². */
const SAME_MPS2 = 1e-6;
/** A fall of speed by less is scatter, m/s. */
const FALL_LEAST_MPS = 0.3;
/** Lean beyond which braking is trail braking, rad. */
export const TRAIL_LEAN_RAD = (15 * Math.PI) / 180;

/** Rules that a lap's channels allow. */
export function rulesOf(lap: AlignedLap): Rules {
  const { run } = lap;
  const brake = onTimeline(run, 'brake_front') ?? onTimeline(run, 'brake_rear');
  const throttle = onTimeline(run, 'throttle');
  const used = (values: Float64Array | null, least: number): boolean => values?.some((v) => v > least) ?? false;
  return { braking: used(brake, 0.02) ? 'brake' : 'speed', pickUp: used(throttle, 0.2) ? 'throttle' : 'speed' };
}

/** Rules by which two laps can be compared: a channel only where both have it. */
export function commonRules(a: Rules, b: Rules): Rules {
  return {
    braking: a.braking === 'brake' && b.braking === 'brake' ? 'brake' : 'speed',
    pickUp: a.pickUp === 'throttle' && b.pickUp === 'throttle' ? 'throttle' : 'speed',
  };
}

/** Measures a lap in every corner that it covered. */
export function techniqueOf(lap: AlignedLap, zones: readonly Zone[], rules: Rules): CornerTechnique[] {
  const [from, to] = rowsAround(lap);
  const rows = new Rows(lap, from, to);
  const out: CornerTechnique[] = [];
  for (const zone of zones) {
    const measured = rows.corner(zone, rules);
    if (measured) out.push(measured);
  }
  return out;
}

/** Rows from half a lap before to half a lap after: a corner may begin before the gate or end behind it. */
function rowsAround({ run, first, end, gateM }: AlignedLap): [from: number, to: number] {
  const { stationM } = run;
  const halfM = 0.5 * run.circuit.lengthM;
  let from = first;
  let to = end;
  while (from > 0 && !(stationM[from - 1]! - gateM < -halfM)) from--;
  while (to < stationM.length && !(stationM[to]! - gateM > 3 * halfM)) to++;
  return [from, to];
}

/** Room for the rows of the lap at hand: fresh memory costs more than what is written to it. */
const room = { stations: new Float64Array(0), reached: new Float64Array(0) };

function roomFor(what: keyof typeof room, count: number): Float64Array {
  if (room[what].length < count) room[what] = new Float64Array(count);
  return room[what].subarray(0, count);
}

function stationsFrom(gateM: number, stationM: Float64Array): Float64Array {
  const out = roomFor('stations', stationM.length);
  for (let i = 0; i < out.length; i++) out[i] = stationM[i]! - gateM;
  return out;
}

function farthest(stationM: Float64Array): Float64Array {
  const out = roomFor('reached', stationM.length);
  let most = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < out.length; i++) {
    if (stationM[i]! > most) most = stationM[i]!;
    out[i] = most;
  }
  return out;
}

/**
 * Row behind the largest fall of speed in a bend, where there is one. The slowest row is another where a rider comes in
 * still driving and lifts in the bend: the entry may be slower than the place that was lifted for.
 */
function bottomOf(speedMps: Float64Array, entry: number, slowest: number, exit: number): number {
  let [highest, bottom, most] = [entry, slowest, FALL_LEAST_MPS];
  for (let i = entry; i <= exit; i++) {
    if (speedMps[i]! > speedMps[highest]!) highest = i;
    const fallen = speedMps[highest]! - speedMps[i]!;
    if (fallen > most) [bottom, most] = [i, fallen];
  }
  return bottom;
}

/** One lap's rows at a time: the next takes their room. */
class Rows {
  readonly #from: number;
  readonly #station: Float64Array;
  readonly #time: Float64Array;
  readonly #speed: Float64Array;
  readonly #signals: Signals;
  readonly #roll: Float64Array | null;
  readonly #rollRate: Float64Array | null;
  readonly #gear: Float64Array | null;
  readonly #clutch: Float64Array | null;
  readonly #lap: AlignedLap;
  /** From the lap's first row on, the farthest station up to each row: it never falls. */
  readonly #reached: Float64Array;

  constructor(lap: AlignedLap, from: number, to: number) {
    const { run, gateM } = lap;
    this.#lap = lap;
    this.#from = from;
    this.#station = stationsFrom(gateM, run.stationM.subarray(from, to));
    this.#reached = farthest(this.#station.subarray(Math.max(0, lap.first - from)));
    this.#time = run.timeS.subarray(from, to);
    this.#speed = run.speedMps.subarray(from, to);
    this.#signals = signalsOf(lap, from, to);
    const part = (values: Float64Array | null): Float64Array | null => values?.subarray(from, to) ?? null;
    const roll = onTimeline(run, 'roll');
    this.#roll = part(roll);
    this.#rollRate = roll && slopeOf(run, roll, from, to);
    this.#gear = part(onTimeline(run, 'gear'));
    this.#clutch = part(onTimeline(run, 'clutch'));
  }

  /** First row at or behind a station, within the lap's neighbourhood. */
  #rowAt(stationM: number): number {
    let i = Math.max(0, this.#lap.first - this.#from);
    if (this.#station[i]! < stationM) return i + rowsWithin(this.#reached, stationM, stationM)[0];
    while (i > 0 && !(this.#station[i]! < stationM)) i--;
    while (i < this.#station.length && !(this.#station[i]! >= stationM)) i++;
    return i;
  }

  corner(zone: Zone, rules: Rules): CornerTechnique | null {
    const station = this.#station;
    const time = this.#time;
    const speed = this.#speed;
    const first = this.#rowAt(zone.fromM);
    const entry = this.#rowAt(zone.entryM);
    const exit = this.#rowAt(zone.exitM);
    const last = this.#rowAt(zone.toM);
    if (exit >= station.length || entry >= exit || exit - first < 3) return null;
    if (Number.isNaN(station[entry]!) || zone.exitM > this.#lap.coveredM + 0.5 * this.#lap.run.circuit.lengthM)
      return null;

    let slowest = entry;
    for (let i = entry; i <= exit; i++) if (speed[i]! < speed[slowest]!) slowest = i;
    const bottom = bottomOf(speed, entry, slowest, exit);

    const { brakeOn, slowing, throttle, accelerationMps2 } = this.#signals;
    const on = rules.braking === 'brake' && brakeOn ? brakeOn : slowing;
    const braking = applicationBefore(on, time, speed, first, bottom, exit);
    const pickUp = this.#pickUp(entry, bottom, last, rules);
    const opened = pickUp === null ? null : Math.ceil(pickUp);
    const fullRow =
      throttle && opened !== null ? this.#sustained((i) => throttle[i]! >= FULL_SHARE, opened, last) : null;

    let peak: number | null = null;
    let overlap: number | null = null;
    let coasting: number | null = null;
    if (braking) {
      peak = braking.from;
      // The first of those that are the same to rounding.
      for (let i = braking.from; i < braking.to; i++)
        if (accelerationMps2[i]! < accelerationMps2[peak]! - SAME_MPS2) peak = i;
      if (this.#roll)
        overlap = this.#duration(braking.from, braking.to, (i) => Math.abs(this.#roll![i]!) >= TRAIL_LEAN_RAD);
      if (throttle)
        coasting = this.#duration(braking.from, opened ?? exit, (i) => on[i] === 0 && throttle[i]! < CLOSED_SHARE);
    }
    const release = braking ? Math.min(braking.to, time.length - 1) : null;
    const span = braking && release !== null ? time[release]! - time[braking.from]! : 0;
    return {
      corner: zone.name,
      rule: {
        braking: rules.braking === 'brake' && brakeOn ? 'brake' : 'speed',
        pickUp: rules.pickUp === 'throttle' && throttle ? 'throttle' : 'speed',
      },
      brakeOnsetM: braking ? this.#edge(braking.from) : null,
      brakeReleaseM: release === null ? null : this.#edge(release),
      timeToPeakS: braking && peak !== null ? time[peak]! - time[braking.from]! : null,
      peakDecelerationMps2: peak === null ? null : -accelerationMps2[peak]!,
      meanDecelerationMps2:
        braking && release !== null && span > 0 ? (speed[braking.from]! - speed[release]!) / span : null,
      brakeLeanOverlapS: overlap,
      slowestM: station[slowest]!,
      slowestMps: speed[slowest]!,
      maxLeanRad: this.#roll && this.#most(this.#roll, entry, exit),
      maxRollRateRadps: this.#rollRate && this.#most(this.#rollRate, first, last),
      pickUpM: pickUp === null ? null : this.#between(pickUp),
      fullDriveM: fullRow === null ? null : this.#edge(fullRow),
      coastingS: coasting,
      exitMps: this.#speedAt(zone.exitM, exit),
      shifts: this.#shifts(first, Math.min(last, station.length - 1)),
    };
  }

  /** Row with its fraction. */
  #pickUp(entry: number, slowest: number, last: number, rules: Rules): number | null {
    const { throttle, accelerationMps2 } = this.#signals;
    if (rules.pickUp === 'throttle' && throttle)
      return pickUpRow(throttle, this.#speed, this.#time, entry, slowest, last);
    const row = this.#began((i) => accelerationMps2[i]! > PICK_UP_MPS2, entry, slowest, last);
    return row === null ? null : Math.max(0, row - 0.5);
  }

  /** Where a condition that holds behind the slowest place began to hold; null where it held from the entry on. */
  #began(holds: (i: number) => boolean, entry: number, slowest: number, last: number): number | null {
    const start = this.#sustained(holds, slowest, last);
    if (start === null || start > slowest) return start;
    let i = slowest;
    while (i > entry && holds(i - 1)) i--;
    return i > entry ? i : null;
  }

  /** An event that the row is the first to show happened between it and the row before: half way, for want of better. */
  #edge(row: number): number {
    return row > 0 ? (this.#station[row - 1]! + this.#station[row]!) / 2 : this.#station[row]!;
  }

  /** Station at a row with its fraction. */
  #between(row: number): number {
    const k = Math.floor(row);
    const [from, to] = [this.#station[k]!, this.#station[Math.ceil(row)]!];
    return from + (row - k) * (to - from);
  }

  /** First row from which a condition holds for {@link THROTTLE_ON_S}. */
  #sustained(holds: (i: number) => boolean, from: number, to: number): number | null {
    let start = -1;
    for (let i = from; i < Math.min(to, this.#time.length); i++) {
      if (!holds(i)) start = -1;
      else if (start === -1) start = i;
      if (start !== -1 && this.#time[i]! - this.#time[start]! >= THROTTLE_ON_S) return start;
    }
    return null;
  }

  #duration(from: number, to: number, holds: (i: number) => boolean): number {
    let sum = 0;
    for (let i = from; i < Math.min(to, this.#time.length - 1); i++)
      if (holds(i)) sum += this.#time[i + 1]! - this.#time[i]!;
    return sum;
  }

  #most(values: Float64Array, from: number, to: number): number | null {
    let most = Number.NaN;
    for (let i = from; i <= Math.min(to, values.length - 1); i++) {
      const v = Math.abs(values[i]!);
      if (!(v <= most) && !Number.isNaN(v)) most = v;
    }
    return Number.isNaN(most) ? null : most;
  }

  #speedAt(stationM: number, row: number): number {
    const k = Math.max(1, row);
    const s0 = this.#station[k - 1]!;
    const s1 = this.#station[k]!;
    const share = s1 > s0 ? Math.min(1, Math.max(0, (stationM - s0) / (s1 - s0))) : 1;
    return this.#speed[k - 1]! + share * (this.#speed[k]! - this.#speed[k - 1]!);
  }

  /** Changes of gear; how long the clutch, where it is logged, was open for each. */
  #shifts(from: number, to: number): { stationM: number; from: number; to: number; durationS: number | null }[] {
    const gear = this.#gear;
    if (!gear) return [];
    const out: { stationM: number; from: number; to: number; durationS: number | null }[] = [];
    let last = gear[from]!;
    for (let i = from + 1; i <= to; i++) {
      const now = gear[i]!;
      // Gear 0 between two gears is the gearbox on its way, not a gear.
      if (now === last || now === 0) continue;
      if (last !== 0) out.push({ stationM: this.#station[i]!, from: last, to: now, durationS: this.#clutchOpen(i) });
      last = now;
    }
    return out;
  }

  #clutchOpen(row: number): number | null {
    const clutch = this.#clutch;
    if (!clutch) return null;
    let a = row;
    let b = row;
    while (a > 0 && clutch[a - 1]! > 0.2 && this.#time[row]! - this.#time[a]! < 1) a--;
    while (b < clutch.length - 1 && clutch[b]! > 0.2 && this.#time[b]! - this.#time[row]! < 1) b++;
    return b > a ? this.#time[b]! - this.#time[a]! : null;
  }
}
