import type { Circuit } from './courses.ts';
import { Driving } from './driving.ts';
import type { Path } from './path.ts';
import {
  BRAKE_BUILD_UP_S,
  BRAKE_RELEASE_S,
  type Controls,
  dragMps2,
  gearFor,
  left,
  type Machine,
  RELEASED_MPS,
  rise,
} from './rider.ts';

/** A ride by station, counted on over the laps from the first gate; nodes are dense and contain every event. */
export interface Ride {
  readonly path: Path;
  readonly stationM: Float64Array;
  readonly timeS: Float64Array;
  readonly speedMps: Float64Array;
  /** Along the path, m/s². */
  readonly accelerationMps2: Float64Array;
  /** 0 to 1, of what the engine has at that speed; line pressure, Pa; gear. */
  readonly throttle: Float64Array;
  readonly brakePa: Float64Array;
  readonly gear: Float64Array;
  /** What happened in the passages, in order, stations counted on. */
  readonly events: readonly PassageEvents[];
}

export interface PassageEvents {
  readonly passage: number;
  readonly onsetM: number;
  readonly releaseM: number;
  readonly pickUpM: number;
}

/** Where an apex is on a line. */
export interface Middle {
  /** Centroid of the curvature. */
  readonly centreM: number;
  /** First and last place that is as tight as it gets, within 10 %. */
  readonly fromM: number;
  readonly toM: number;
  /** The most, without sign. */
  readonly curvaturePerM: number;
}

/** Step of the integration, m. */
const STEP_M = 0.2;
const BRAKE_PA_PER_MPS2 = 1.15e5;
/** A ride begins this much before the first gate and ends this much behind the second, in laps. */
const RUN_UP = 0.7;
const RUN_OUT = 0.35;

/** Middle of every apex of every passage on a line; the centroid is of what bends by more than 60 % of the most. */
export function middlesOf(circuit: Circuit, path: Path): Middle[][] {
  const { course } = circuit;
  return circuit.passages.map(({ apexes }) =>
    apexes.map((name) => {
      const apex = course.apexes.find((one) => one.name === name)!;
      const sign = Math.sign(apex.curvaturePerM);
      const others = course.apexes.filter((one) => one !== apex);
      // Half way to the apexes on either side, at most 60 m.
      const reach = (s: number): number =>
        Math.min(60, ...others.map((one) => Math.max(4, Math.min(Math.abs(one.fromM - s), Math.abs(one.toM - s)) / 2)));
      const [from, to] = [apex.fromM - reach(apex.fromM), apex.toM + reach(apex.toM)];
      let most = 0;
      for (let s = from; s <= to; s += 0.1) most = Math.max(most, sign * path.curvature(s));
      let [sum, moment, first, last] = [0, 0, Number.NaN, Number.NaN];
      for (let s = from; s <= to; s += 0.1) {
        const k = sign * path.curvature(s);
        if (k > 0.9 * most) {
          if (Number.isNaN(first)) first = s;
          last = s;
        }
        if (k <= 0.6 * most) continue;
        sum += k;
        moment += k * s;
      }
      return { centreM: moment / sum, fromM: first, toM: last, curvaturePerM: most };
    }),
  );
}

/**
 * One rider on one line, from {@link RUN_UP} laps before the first gate to {@link RUN_OUT} behind the second.
 *
 * @throws RangeError where a passage cannot be ridden so: nothing to slow down for, or too fast to slow down
 */
export function ride(
  circuit: Circuit,
  path: Path,
  machine: Machine,
  controls: readonly Controls[],
  stepM = STEP_M,
): Ride {
  return new Rider(circuit, path, machine, controls, stepM).ride();
}

/** Where a rider is, how fast, and when. */
interface State {
  readonly s: number;
  readonly v: number;
  readonly t: number;
}

/** A quantity of a state. */
type OfState = (s: number, v: number, t: number) => number;

/** Nodes of a ride as columns. */
class Nodes {
  readonly s: number[] = [];
  readonly t: number[] = [];
  readonly v: number[] = [];
  readonly a: number[] = [];
  readonly throttle: number[] = [];
  readonly brake: number[] = [];
  readonly gear: number[] = [];

  add({ s, v, t }: State, a: number, throttle: number, brake: number, gear: number): void {
    const n = this.s.length;
    // Where something happens two nodes lie on one place: the later one holds.
    if (n > 0 && s - this.s[n - 1]! < 1e-7) this.cut(n - 1);
    this.s.push(s);
    this.t.push(t);
    this.v.push(v);
    this.a.push(a);
    this.throttle.push(throttle);
    this.brake.push(brake);
    this.gear.push(gear);
  }

  cut(length: number): void {
    for (const list of [this.s, this.t, this.v, this.a, this.throttle, this.brake, this.gear]) list.length = length;
  }

  /** Last node at or before a station, from a node on. */
  before(s: number, from: number): number {
    let [low, high] = [from, this.s.length - 1];
    while (high - low > 1) {
      const mid = (low + high) >> 1;
      if (this.s[mid]! <= s) low = mid;
      else high = mid;
    }
    return low;
  }
}

class Rider {
  readonly #path: Path;
  readonly #machine: Machine;
  readonly #controls: readonly Controls[];
  readonly #middles: readonly Middle[][];
  readonly #step: number;
  readonly #nodes = new Nodes();
  readonly #events: PassageEvents[] = [];
  /** Onsets as found a lap earlier. */
  readonly #onset = new Map<number, number>();

  constructor(circuit: Circuit, path: Path, machine: Machine, controls: readonly Controls[], stepM: number) {
    this.#path = path;
    this.#machine = machine;
    this.#controls = controls;
    this.#middles = middlesOf(circuit, path);
    this.#step = stepM;
  }

  ride(): Ride {
    const { lengthM } = this.#path.course;
    const list = [-1, 0, 1].flatMap((round) =>
      this.#middles.map(([first], passage) => ({
        passage,
        shiftM: round * lengthM,
        at: first!.centreM + round * lengthM,
      })),
    );
    const passages = list.filter(({ at }) => at > -RUN_UP * lengthM && at < (1 + RUN_OUT) * lengthM + 250);
    const { passage: next, at } = passages[0]!;
    const count = this.#controls.length;
    let state: State = { s: at - 250, v: 40, t: 0 };
    let drive = new Driving(this.#controls[(next + count - 1) % count]!, this.#machine, -10, 5, 0);
    for (const { passage, shiftM } of passages) ({ state, drive } = this.#pass(passage, shiftM, state, drive));
    this.#drive(state, drive, state.s + 60);
    const { s, t, v, a, throttle, brake, gear } = this.#nodes;
    return {
      path: this.#path,
      stationM: Float64Array.from(s),
      timeS: Float64Array.from(t),
      speedMps: Float64Array.from(v),
      accelerationMps2: Float64Array.from(a),
      throttle: Float64Array.from(throttle),
      brakePa: Float64Array.from(brake),
      gear: Float64Array.from(gear),
      events: this.#events,
    };
  }

  /** Speed that the rider holds in a passage, and its slope by station. */
  #corner(passage: number, shiftM: number): (s: number, slope: boolean) => number {
    const { grips } = this.#controls[passage]!;
    const { lateralMps2 } = this.#machine;
    const held = this.#middles[passage]!.map(({ centreM, fromM, toM, curvaturePerM }, i) => ({
      centreM: centreM + shiftM,
      fromM: fromM + shiftM,
      toM: toM + shiftM,
      v: Math.sqrt((grips[i]! * lateralMps2) / curvaturePerM),
    }));
    return (s, slope) => {
      let before = held[0]!;
      for (let i = 1; i < held.length; i++) {
        const next = held[i]!;
        // The slower of two apexes is held from end to end of what is tight.
        const slower = next.v < before.v;
        const from = slower ? before.centreM : before.toM;
        const to = slower ? next.fromM : next.centreM;
        if (s < from) break;
        if (s < to) {
          const u = (s - from) / (to - from);
          const more = next.v - before.v;
          return slope ? (more * 6 * u * (1 - u)) / (to - from) : before.v + more * rise(u);
        }
        before = next;
      }
      return slope ? 0 : before.v;
    };
  }

  /** From behind one passage through the next, to its pick-up. */
  #pass(passage: number, shiftM: number, start: State, before: Driving): { state: State; drive: Driving } {
    const own = this.#controls[passage]!;
    const middles = this.#middles[passage]!;
    const corner = this.#corner(passage, shiftM);
    const releaseM = middles[0]!.centreM + shiftM - own.marginM;
    const pickUpM = middles.at(-1)!.centreM + shiftM + own.pickUpM;

    // The straight is ridden as if there were no corner, so that any onset can be tried from it.
    const nodes = this.#nodes;
    const first = nodes.s.length;
    const end = this.#drive(start, before, releaseM);
    const target = corner(releaseM, false);
    const over = (onsetM: number): number => {
      const { v } = this.#enter(first, onsetM, own, corner, releaseM, false);
      return v - target > 1e-6 ? Math.max(-12, Math.log((v - target) / RELEASED_MPS)) : -12;
    };
    const least = start.s + 1;
    const slowing = Math.max(1.5, own.intensity * this.#machine.brakeMps2 + 2);
    const known = this.#onset.get(passage);
    const guess = known === undefined ? releaseM - (end.v ** 2 - target ** 2) / (2 * slowing) : known + shiftM;
    const onsetM = rootOf(over, Math.min(releaseM - 1, Math.max(least + 1, guess)), least, releaseM, passage);
    this.#onset.set(passage, onsetM - shiftM);

    const state = this.#enter(first, onsetM, own, corner, pickUpM, true);
    this.#events.push({ passage, onsetM, releaseM, pickUpM });
    const held = (state.v * corner(state.s, true)) / this.#path.perStation(state.s);
    return { state, drive: new Driving(own, this.#machine, state.t, own.gear, held) };
  }

  #drive(start: State, drive: Driving, toM: number): State {
    const { climb } = this.#path;
    const machine = this.#machine;
    const force: OfState = (s, v, t) => drive.forceMps2(v, this.#across(s, v), t, climb(s));
    const along: OfState = (s, v, t) => force(s, v, t) - dragMps2(machine, v) - climb(s);
    const note = (at: State): void => {
      const throttle = drive.throttle(at.v, this.#across(at.s, at.v), at.t, climb(at.s));
      this.#nodes.add(at, along(at.s, at.v, at.t), throttle, 0, drive.gear);
    };
    let state = start;
    note(state);
    while (state.s < toM - 1e-9) {
      let h = Math.min(this.#step, toM - state.s);
      let next = this.#advance(state, h, along);
      // A step ends where something happens: a shift begins or ends, or the throttle is open.
      const moment = drive.momentIn(state, next);
      if (moment !== null) {
        const zero = moment.error(state);
        h *= moment.share;
        for (let k = 0; k < 5; k++) {
          next = this.#advance(state, h, along);
          const error = moment.error(next);
          if (Math.abs(error) < 1e-11 || h < 1e-9) break;
          h -= (error * h) / (error - zero);
        }
        drive.happened(moment.kind, next.t);
      }
      state = next;
      note(state);
    }
    return state;
  }

  /**
   * Closes the throttle and brakes at a station, then holds the corner's speed.
   *
   * @param first node of the straight before; what it holds beyond the onset is replaced if `keep`
   */
  #enter(
    first: number,
    onsetM: number,
    own: Controls,
    corner: (s: number, slope: boolean) => number,
    toM: number,
    keep: boolean,
  ): State {
    const nodes = this.#nodes;
    const machine = this.#machine;
    const { perStation, climb } = this.#path;
    const i = nodes.before(onsetM, first);
    const highest = nodes.gear[i]!;
    const from = nodes.s[i]!;
    let state: State = { s: from, v: nodes.v[i]!, t: nodes.t[i]! };
    // From the node before to the onset nothing changes: its acceleration is carried over these centimetres.
    const a = nodes.a[i]!;
    const gas = a + dragMps2(machine, state.v) + climb(from);
    const power = gas * state.v;
    state = this.#advance(state, onsetM - from, () => a);
    const began = state.t;
    const force: OfState = (s, v, t) => {
      const target = corner(s, false);
      const wanted = (v * corner(s, true)) / perStation(s) - (v - target) / BRAKE_RELEASE_S;
      const brake = own.intensity * machine.brakeMps2 * left(machine, this.#across(s, v));
      const entry = Math.max(wanted + dragMps2(machine, v) + climb(s), -brake - machine.engineBrakingMps2);
      const w = rise((t - began) / BRAKE_BUILD_UP_S);
      // Power stays what it was until the throttle is closed.
      return w >= 1 ? entry : (1 - w) * Math.min(gas, power / v) + w * entry;
    };
    const along: OfState = (s, v, t) => force(s, v, t) - dragMps2(machine, v) - climb(s);
    if (keep) nodes.cut(i + 1);
    const note = (at: State): void => {
      if (!keep) return;
      const f = force(at.s, at.v, at.t);
      const braking = Math.max(0, -f - machine.engineBrakingMps2) * BRAKE_PA_PER_MPS2;
      const gear = Math.max(own.gear, Math.min(highest, gearFor(machine, at.v * 1.04)));
      const throttle = Math.max(0, (f * at.v) / machine.powerWpkg);
      nodes.add(at, f - dragMps2(machine, at.v) - climb(at.s), throttle, braking, gear);
    };
    note(state);
    let building = true;
    while (state.s < toM - 1e-9) {
      let h = Math.min(this.#step, toM - state.s);
      // The build-up ends on a node, to a part of a millimetre.
      const rest = ((BRAKE_BUILD_UP_S - (state.t - began)) * state.v) / perStation(state.s);
      if (building && rest <= h) {
        h = Math.min(h, Math.max(1e-6, rest));
        building = false;
      }
      state = this.#advance(state, h, along);
      note(state);
    }
    return state;
  }

  /** One step of the classical method of fourth order in station, for speed and time. */
  #advance({ s, v, t }: State, h: number, along: OfState): State {
    const { perStation } = this.#path;
    const half = h / 2;
    const b1 = perStation(s) / v;
    const a1 = along(s, v, t) * b1;
    const psi = perStation(s + half);
    const v2 = Math.max(1, v + half * a1);
    const b2 = psi / v2;
    const a2 = along(s + half, v2, t + half * b1) * b2;
    const v3 = Math.max(1, v + half * a2);
    const b3 = psi / v3;
    const a3 = along(s + half, v3, t + half * b2) * b3;
    const v4 = Math.max(1, v + h * a3);
    const b4 = perStation(s + h) / v4;
    const a4 = along(s + h, v4, t + h * b3) * b4;
    return {
      s: s + h,
      v: v + (h * (a1 + 2 * a2 + 2 * a3 + a4)) / 6,
      t: t + (h * (b1 + 2 * b2 + 2 * b3 + b4)) / 6,
    };
  }

  #across(s: number, v: number): number {
    return v * v * this.#path.curvature(s);
  }
}

/** Where a rising function passes zero, by false position and halving, from a bracket that grows about a guess. */
function rootOf(f: (x: number) => number, guess: number, least: number, most: number, passage: number): number {
  let reach = 3;
  let [lo, hi] = [Math.max(least, guess - reach), Math.min(most, guess + reach)];
  let [fLo, fHi] = [f(lo), f(hi)];
  while (fLo > 0 || fHi <= 0) {
    reach *= 2;
    if (fLo > 0) {
      if (lo <= least) throw new RangeError(`passage ${passage} cannot be reached slowly enough`);
      [hi, fHi] = [lo, fLo];
      lo = Math.max(least, lo - reach);
      fLo = f(lo);
    } else {
      if (hi >= most) throw new RangeError(`nothing to slow down for in passage ${passage}`);
      [lo, fLo] = [hi, fHi];
      hi = Math.min(most, hi + reach);
      fHi = f(hi);
    }
  }
  let x = guess;
  for (let k = 0; k < 60 && hi - lo > 1e-7; k++) {
    const secant = hi - (fHi * (hi - lo)) / (fHi - fLo);
    x = k % 3 === 2 || !(secant > lo && secant < hi) ? (lo + hi) / 2 : secant;
    const value = f(x);
    if (Math.abs(value) < 1e-9) break;
    if (value > 0) [hi, fHi] = [x, value];
    else [lo, fLo] = [x, value];
  }
  return x;
}
