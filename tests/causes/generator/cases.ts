import type { Circuit } from './courses.ts';
import { circuits } from './courses.ts';
import { type Draws, draws } from './draws.ts';
import { referenceWay, rideOf, type Way } from './laps.ts';
import type { Ride } from './ride.ts';
import type { Controls } from './rider.ts';
import type { Logger } from './sense.ts';

export const FACTORS = ['onset', 'intensity', 'grip', 'line', 'pick-up', 'drive', 'shifts'] as const;
export type Factor = (typeof FACTORS)[number];

/** Two laps that differ in one factor of one passage, or in nothing, and the loggers that record them. */
export interface Case {
  /** Also the seed of everything drawn for it. */
  readonly id: string;
  readonly circuit: Circuit;
  /** Null where the laps are alike. */
  readonly factor: Factor | null;
  readonly passage: number;
  readonly referenceLogger: Logger;
  readonly robotLogger: Logger;
  /** Rides are made when asked for, the reference once a circuit. */
  reference(): Ride;
  robot(): { readonly ride: Ride /** What was changed, in words. */; readonly change: string };
}

const EACH = 25;
const ROUNDS = 20;

/**
 * 200 cases: 25 of each factor, spread over the passages where it can differ, and 25 pairs of like laps.
 *
 * @param seed another one gives other places, sizes, loggers and noise
 */
export function cases(seed = ''): Case[] {
  const all = circuits();
  const references = all.map((circuit) => {
    const { way, middles } = referenceWay(circuit);
    let ridden: Ride | null = null;
    return { circuit, way, middles, ride: (): Ride => (ridden ??= rideOf(circuit, way)) };
  });
  const sites = references.flatMap((reference) =>
    reference.circuit.passages.map((_, passage) => ({ reference, passage })),
  );
  const out: Case[] = [];
  const add = (site: (typeof sites)[number], factor: Factor | null, id: string): void => {
    const random = draws(`loggers ${id}`);
    const { circuit, ride } = site.reference;
    let made: ReturnType<typeof feasible> | null = null;
    const changed = (): NonNullable<typeof made> =>
      (made ??=
        factor === null ? { ride: ride(), change: 'nothing' } : feasible(site.reference, site.passage, factor, id));
    out.push({
      id,
      circuit,
      factor,
      passage: site.passage,
      referenceLogger: logger(random, [0.12, 0.03, 0.95], 0.035, random.uniform() < 0.2 ? 50 : 100),
      robotLogger: logger(random, [-0.35, 0, 0.7], 0.06, random.uniform() < 0.35 ? 50 : 100),
      reference: ride,
      robot: changed,
    });
  };
  for (const factor of FACTORS) {
    const order = shuffled(
      sites.filter(({ reference, passage }) => applies(factor, reference, passage)),
      draws(`sites ${factor}${seed}`),
    );
    for (let k = 0; k < EACH; k++) add(order[k % order.length]!, factor, `${factor}-${k + 1}${seed}`);
  }
  const order = shuffled(sites, draws(`sites of like laps${seed}`));
  for (let k = 0; k < EACH; k++) add(order[k % order.length]!, null, `null-${k + 1}${seed}`);
  return out;
}

interface Reference {
  readonly circuit: Circuit;
  readonly way: Way;
  readonly middles: ReturnType<typeof referenceWay>['middles'];
  readonly ride: () => Ride;
}

/** Whether a factor can differ in a passage: no braking to differ in where there is none, no shifts without a straight. */
function applies(factor: Factor, { circuit, ride }: Reference, passage: number): boolean {
  const braking = circuit.passages[passage]!.entry === 'brake';
  if (factor === 'onset' || factor === 'intensity') return braking;
  if (factor === 'shifts') return upshiftsBehind(ride(), passage) >= 2;
  return true;
}

function upshiftsBehind({ events, stationM, gear }: Ride, passage: number): number {
  const own = events.findIndex((event) => event.passage === passage && event.pickUpM > 0);
  const next = events[own + 1];
  if (!next) return 0;
  let count = 0;
  for (let i = 1; i < stationM.length; i++)
    if (stationM[i]! > events[own]!.pickUpM && stationM[i]! < next.onsetM && gear[i]! > gear[i - 1]!) count++;
  return count;
}

/** Draws sizes until one can be ridden: a corner that a lift no longer slows for is not a lap of this kind. */
function feasible(reference: Reference, passage: number, factor: Factor, id: string): { ride: Ride; change: string } {
  for (let round = 0; round < ROUNDS; round++) {
    const drawn = differing(reference, passage, factor, draws(`${id} round ${round}`));
    try {
      return { ride: rideOf(reference.circuit, drawn.way), change: drawn.change };
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
    }
  }
  throw new Error(`no ${factor} that can be ridden in passage ${passage} of ${reference.circuit.course.name}`);
}

/** The reference's way with one factor changed in one passage. */
function differing(
  { circuit, way, middles }: Reference,
  passage: number,
  factor: Factor,
  random: Draws,
): { way: Way; change: string } {
  const own = way.controls[passage]!;
  const { entry } = circuit.passages[passage]!;
  const better = random.uniform() < 0.25;
  const set = (change: string, keys: Partial<Controls>): { way: Way; change: string } => ({
    way: { ...way, controls: way.controls.map((one, i) => (i === passage ? { ...one, ...keys } : one)) },
    change,
  });
  const percent = (share: number): string => `${((share - 1) * 100).toFixed(1)} %`;
  switch (factor) {
    case 'onset': {
      const m = better ? -random.between(1.5, 3) : random.between(4, 16);
      return set(`margin ${m.toFixed(1)} m`, { marginM: own.marginM + m });
    }
    case 'intensity': {
      const share = better ? random.between(1.03, 1.08) : random.between(0.82, 0.95);
      return set(`intensity ${percent(share)}`, { intensity: own.intensity * share });
    }
    case 'grip': {
      const share = better && entry === 'brake' ? random.between(1.02, 1.04) : random.between(0.88, 0.97);
      const apex = circuit.passages[passage]!.kind === 'chicane' ? Math.floor(2 * random.uniform()) : null;
      return set(`grip ${percent(share)}${apex === null ? '' : ` at apex ${apex + 1}`}`, {
        grips: own.grips.map((grip, i) => (apex === null || apex === i ? grip * share : grip)),
      });
    }
    case 'pick-up': {
      const m = better ? -random.between(1.5, 4) : random.between(4, 18);
      return set(`pick-up ${m.toFixed(1)} m`, { pickUpM: own.pickUpM + m });
    }
    case 'drive': {
      const share = better ? random.between(1.01, 1.03) : random.between(0.86, 0.97);
      return set(`drive ${percent(share)}`, { drive: own.drive * share });
    }
    case 'shifts': {
      const s = random.between(0.05, 0.2);
      const share = random.between(0.95, 1);
      return set(`shifts ${(1000 * s).toFixed(0)} ms longer, at ${percent(share)} speed`, {
        shiftS: own.shiftS + s,
        shiftAt: share,
      });
    }
    case 'line': {
      const list = middles[passage]!;
      const { centreM, curvaturePerM } = list[Math.floor(random.uniform() * list.length)]!;
      const name = circuit.passages[passage]!.apexes[list.findIndex((one) => one.centreM === centreM)];
      const sign = Math.sign(circuit.course.apexes.find((apex) => apex.name === name)!.curvaturePerM);
      const inside = (better ? 1 : -1) * (entry === 'lift' ? random.between(0.3, 0.7) : random.between(0.5, 1.3));
      const widthM = random.between(0.9, 1.3) * Math.max(22, 3.2 * Math.sqrt(1 / curvaturePerM));
      const heightM = sign * inside * (random.uniform() < 0.5 ? 1 : -1);
      return {
        way: { ...way, bumps: [...way.bumps, { atM: centreM + random.between(-8, 8), heightM, widthM }] },
        change: `line ${(sign * heightM).toFixed(2)} m inside over ${widthM.toFixed(0)} m`,
      };
    }
  }
}

/** A logger as bolted on: nearly where its session file says. */
function logger(random: Draws, place: readonly [number, number, number], latencyS: number, rateHz: number): Logger {
  const told = place.map((m) => Math.round((m + random.between(-0.1, 0.1)) * 100) / 100);
  const late = Math.round((latencyS + random.between(-0.015, 0.015)) * 1000) / 1000;
  return {
    rateHz,
    toldArmM: told as [number, number, number],
    armM: told.map((m) => m + 0.01 * random.normal()) as [number, number, number],
    toldLatencyS: late,
    latencyS: late + 0.001 * random.normal(),
    speedLagS: random.between(0, 0.012),
    controlLagS: random.between(0, 0.01),
    inertialLagS: random.between(0, 0.01),
    noise: 1,
  };
}

function shuffled<T>(list: readonly T[], random: Draws): T[] {
  const out = [...list];
  for (let i = out.length - 1; i > 0; i--) {
    const k = Math.floor(random.uniform() * (i + 1));
    [out[i], out[k]] = [out[k]!, out[i]!];
  }
  return out;
}
