import { G, type Machine } from './machine.ts';
import { gaussian, runningMeans } from './smooth.ts';

/** The ridden line as the machine feels it; all arrays on one grid of stations. Slopes are per metre of path. */
export interface Ground {
  readonly stepM: number;
  /** Metres of path per metre of station. */
  readonly pathPerStation: Float64Array;
  readonly curvature: Float64Array;
  readonly curvatureSlope: Float64Array;
  readonly grade: Float64Array;
  readonly gradeSlope: Float64Array;
}

/** How it is ridden, node by node; uses are shares of what the machine can do. */
export interface Handling {
  readonly gripUse: Float64Array;
  readonly brakeUse: Float64Array;
  readonly driveUse: Float64Array;
  /** Exponent of the ellipse of braking and lean: 2 is the full ellipse, 1 gives up one for the other. */
  readonly brakeBlend: Float64Array;
  readonly rollRateRadps: Float64Array;
  readonly capMps: Float64Array;
  /** Time to open the throttle fully after coasting, s. */
  readonly rampS: Float64Array;
  /** Share of the rev limit at which the next gear is taken. */
  readonly shiftAt: Float64Array;
  readonly shiftS: number;
  /** Under brakes: time to the first change down, and from one to the next, s. */
  readonly entryS: number;
  readonly downS: number;
  /** Standard deviation, in seconds, by which changes between throttle and brakes are spread. */
  readonly smoothS: number;
  /** Bends in order: where the apex is looked for, and how far before and after it the machine only rolls. */
  readonly bends: readonly {
    readonly from: number;
    readonly to: number;
    readonly early: number;
    readonly late: number;
  }[];
  readonly startMps: number;
  readonly endMps: number;
}

/** A ridden speed profile: kinetic energy per mass (m2/s2), gear, and whether the drive is cut for a shift. */
export interface SpeedProfile {
  readonly energy: Float64Array;
  readonly gear: Uint8Array;
  readonly cut: Uint8Array;
  /** 1 where nothing but drive decides the speed: the bend is left, or a straight ridden. */
  readonly free: Uint8Array;
  /** Node of the slowest admissible point of every bend. */
  readonly apexes: readonly number[];
}

/** The highest speed that lateral grip admits, m/s; practically unlimited on a straight. */
function gripSpeed(machine: Machine, ground: Ground, how: Handling, i: number): number {
  const share = (machine.lateralMps2 / G) * how.gripUse[i]!;
  const left = Math.abs(ground.curvature[i]!) - share * ground.gradeSlope[i]!;
  return left <= 1e-9 ? 1e3 : Math.min(1e3, Math.sqrt((share * G) / left));
}

/** The highest speed at which the line's change of curvature asks for no faster leaning than the rider does. */
function leaningSpeed(ground: Ground, curvatureSlope: number, limitRadps: number, gripMps: number, i: number): number {
  const k = Math.abs(ground.curvature[i]!);
  const slope = Math.abs(curvatureSlope);
  const rate = (v: number) => (v ** 3 * slope) / G / (1 + ((v * v * k) / G) ** 2);
  const top = Math.min(gripMps, 100);
  if (slope === 0 || limitRadps === Number.POSITIVE_INFINITY || rate(top) <= limitRadps) return top;
  let [low, high] = [0, top];
  for (let pass = 0; pass < 40; pass++) {
    const middle = (low + high) / 2;
    if (rate(middle) > limitRadps) high = middle;
    else low = middle;
  }
  return low;
}

/** Ceiling of the energy at every node: grip, leaning over at a steady speed, and the caps of the run. */
function ceilings(machine: Machine, ground: Ground, how: Handling): Float64Array {
  const n = ground.curvature.length;
  const grip = Float64Array.from({ length: n }, (_, i) => gripSpeed(machine, ground, how, i));
  const limited = how.rollRateRadps.some((limit) => limit !== Number.POSITIVE_INFINITY);
  let ceiling = grip;
  if (limited) {
    const slope = runningMeans(ground.curvatureSlope, 2 / ground.stepM);
    const leaning = grip.map((v, i) => leaningSpeed(ground, slope[i]!, how.rollRateRadps[i]!, v, i));
    const reach = Math.round(10 / ground.stepM);
    const steady = runningMeans(slidingMinimum(leaning, reach), 4 / ground.stepM);
    ceiling = grip.map((v, i) => Math.min(v, steady[i]!));
  }
  return ceiling.map((v, i) => Math.min(v, how.capMps[i]!) ** 2 / 2);
}

/** Least value within `reach` nodes on both sides. */
function slidingMinimum(values: Float64Array, reach: number): Float64Array {
  const n = values.length;
  const queue = new Int32Array(n + 1);
  const out = new Float64Array(n);
  let [head, tail] = [0, 0];
  for (let i = 0; i < n + reach; i++) {
    if (i < n) {
      while (tail > head && values[queue[tail - 1]!]! >= values[i]!) tail--;
      queue[tail++] = i;
    }
    const at = i - reach;
    if (at < 0) continue;
    while (queue[head]! < at - reach) head++;
    out[at] = values[queue[head]!]!;
  }
  return out;
}

/** Rolling, the lower gear is taken below this share of the shift point; under brakes as soon as its revs allow. */
const DOWN_ROLLING = 0.8;

/** Gear by speed with a memory: up at the shift point, down below it. */
function gearFor(machine: Machine, speedMps: number, gear: number, shiftAt: number): number {
  let g = gear;
  while (g > 1 && speedMps < DOWN_ROLLING * shiftAt * machine.gearMps[g - 2]!) g--;
  return g;
}

/**
 * Fastest profile of the given handling: ceilings from grip and leaning, rolling stretches about the apexes, one pass
 * forward (drive, gears) and one backward (brakes), the lower of both, with changes of control spread in time.
 */
export function speedProfile(machine: Machine, ground: Ground, how: Handling): SpeedProfile {
  const n = ground.curvature.length;
  const { stepM, pathPerStation } = ground;
  const path = (i: number) => (stepM * (pathPerStation[i]! + pathPerStation[Math.min(n - 1, i + 1)]!)) / 2;
  const resist = (energy: number, i: number) =>
    (2 * energy * machine.dragKgPerM) / machine.massKg + machine.rollingMps2 + G * ground.grade[i]!;
  const lateralShare = (energy: number, i: number) =>
    Math.min(1, (2 * energy * Math.abs(ground.curvature[i]!)) / (machine.lateralMps2 * how.gripUse[i]!));

  const ceiling = ceilings(machine, ground, how);
  ceiling[0] = Math.min(ceiling[0]!, how.startMps ** 2 / 2);
  ceiling[n - 1] = Math.min(ceiling[n - 1]!, how.endMps ** 2 / 2);

  const rolling = new Uint8Array(n);
  const coast = (energy: number, i: number) => {
    const v = Math.sqrt(2 * energy);
    const gear = machine.gearMps.findIndex((top) => v < 0.8 * top) + 1 || machine.gearMps.length;
    return resist(energy, i) + machine.engineBrakeMps2(v, gear);
  };
  /** Lowers the ceiling to a rolling stretch that touches it from below; `anchor` is where the search begins. */
  const roll = (first: number, last: number, anchor: number) => {
    if (last - first < 2) return;
    const curve = new Float64Array(last - first + 1);
    let energy = ceiling[anchor]!;
    for (let pass = 0; pass < 8; pass++) {
      curve[anchor - first] = energy;
      for (let i = anchor; i < last; i++)
        curve[i + 1 - first] = Math.max(1, curve[i - first]! - coast(curve[i - first]!, i) * path(i));
      for (let i = anchor; i > first; i--)
        curve[i - 1 - first] = curve[i - first]! + coast(curve[i - first]!, i) * path(i - 1);
      let over = 0;
      for (let i = first; i <= last; i++) over = Math.max(over, curve[i - first]! - ceiling[i]!);
      if (over < 1e-6) break;
      energy = Math.max(1, energy - over);
    }
    for (let i = first; i <= last; i++) {
      ceiling[i] = Math.min(ceiling[i]!, curve[i - first]!);
      rolling[i] = 1;
    }
  };
  const apexes = how.bends.map(({ from, to, early, late }) => {
    let apex = from;
    for (let i = from; i <= to; i++) if (ceiling[i]! < ceiling[apex]!) apex = i;
    // the slow part of a long bend, from its first to its last slow point
    const slow = ceiling[apex]! * 1.12;
    let [slowFrom, slowTo] = [from, to];
    while (slowFrom < apex && ceiling[slowFrom]! > slow) slowFrom++;
    while (slowTo > apex && ceiling[slowTo]! > slow) slowTo--;
    roll(Math.max(0, slowFrom - early), slowFrom, slowFrom);
    roll(slowTo, Math.min(n - 1, slowTo + late), slowTo);
    return apex;
  });

  const braked = new Float64Array(n);
  braked[n - 1] = ceiling[n - 1]!;
  const brake = (energy: number, i: number) => {
    const share = lateralShare(energy, i);
    const p = how.brakeBlend[i]!;
    const limit = machine.decelerationMps2(Math.sqrt(2 * energy)) * how.brakeUse[i]!;
    return Math.max(limit * (1 - share ** p) ** (1 / p), resist(energy, i) * 0.5);
  };
  for (let i = n - 1; i > 0; i--) {
    const length = path(i - 1);
    const guess = braked[i]! + brake(braked[i]!, i) * length;
    const mean = (brake(braked[i]!, i) + brake(guess, i - 1)) / 2;
    braked[i - 1] = Math.min(ceiling[i - 1]!, braked[i]! + mean * length);
  }

  const driven = new Float64Array(n);
  const gears = new Uint8Array(n);
  const cuts = new Uint8Array(n);
  const free = new Uint8Array(n);
  driven[0] = ceiling[0]!;
  let gear = 1;
  for (let g = 1; g < machine.gearMps.length; g++) if (how.startMps > 0.9 * machine.gearMps[g - 1]!) gear = g + 1;
  let cutS = 0;
  let openS = 10;
  for (let i = 0; i < n; i++) {
    const v = Math.sqrt(2 * driven[i]!);
    const at = how.shiftAt[i]!;
    gear = gearFor(machine, v, gear, at);
    if (cutS <= 0 && gear < machine.gearMps.length && v >= at * machine.gearMps[gear - 1]!) {
      gear++;
      cutS = how.shiftS;
    }
    gears[i] = gear;
    cuts[i] = cutS > 0 ? 1 : 0;
    if (i === n - 1) break;
    const open = Math.max(0.03, Math.min(1, openS / Math.max(1e-6, how.rampS[i]!))) * how.driveUse[i]!;
    const drive = (energy: number, node: number) => {
      if (cutS > 0) return -resist(energy, node);
      const share = lateralShare(energy, node);
      const tyre = machine.tractionMps2(Math.sqrt(2 * energy)) * Math.sqrt(1 - share * share);
      const engine = machine.driveN(Math.sqrt(2 * energy), gear) / machine.massKg;
      return Math.min(tyre, engine) * open - resist(energy, node);
    };
    const length = path(i);
    const first = drive(driven[i]!, i);
    const mean = (first + drive(Math.max(0, driven[i]! + first * length), i + 1)) / 2;
    const next = Math.max(0, driven[i]! + mean * length);
    driven[i + 1] = Math.min(ceiling[i + 1]!, next);
    free[i + 1] = next < ceiling[i + 1]! ? 1 : 0;
    const dt = (2 * length) / Math.max(0.5, v + Math.sqrt(2 * driven[i + 1]!));
    cutS -= dt;
    openS = rolling[i + 1] === 1 && next >= ceiling[i + 1]! ? 0 : openS + dt;
  }
  return { ...join(machine, ground, how, driven, braked, gears, cuts), free, apexes };
}

/** Lower of both passes, smoothed where throttle and brakes change over, with the gears that belong to it. */
function join(
  machine: Machine,
  ground: Ground,
  how: Handling,
  driven: Float64Array,
  braked: Float64Array,
  gears: Uint8Array,
  cuts: Uint8Array,
): Omit<SpeedProfile, 'free' | 'apexes'> {
  const n = driven.length;
  const energy = new Float64Array(n);
  const gear = new Uint8Array(n);
  const cut = new Uint8Array(n);
  const spread = new Float64Array(n);
  const stepM = ground.stepM;
  let g = gears[0]!;
  let waitS = 0;
  for (let i = 0; i < n; i++) {
    const driving = driven[i]! <= braked[i]! + 1e-9;
    energy[i] = Math.min(driven[i]!, braked[i]!);
    const v = Math.sqrt(2 * energy[i]!);
    waitS -= stepM / Math.max(1, v);
    if (driving) {
      g = gears[i]!;
      cut[i] = cuts[i]!;
      waitS = how.entryS;
    } else if (waitS <= 0 && g > 1 && v < machine.gearMps[g - 2]!) {
      g--;
      waitS = how.downS;
    }
    gear[i] = g;
  }
  if (how.smoothS === 0) return { energy, gear, cut };
  // wide near braking and rolling, narrow under drive, so that the dips of shifts keep their shape
  for (let i = 0; i < n; i++) {
    const reach = Math.ceil((3 * how.smoothS * Math.sqrt(2 * energy[i]!)) / stepM);
    if (driven[i]! < braked[i]! - 1e-9) continue;
    for (let d = Math.max(0, i - reach); d <= Math.min(n - 1, i + reach); d++) spread[d] = how.smoothS;
    // no need to mark every node's surroundings twice
    if (i + 1 < n && driven[i + 1]! >= braked[i + 1]! - 1e-9) {
      let last = i;
      while (last + 1 < n && driven[last + 1]! >= braked[last + 1]! - 1e-9) spread[++last] = how.smoothS;
      i = last - 1;
    }
  }
  const soft = runningMeans(spread, 6 / stepM);
  return { energy: gaussian(energy, (i) => (soft[i]! * Math.sqrt(2 * energy[i]!)) / stepM), gear, cut };
}
