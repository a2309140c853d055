import { linearMany } from '../numbers/interpolate.ts';
import { median } from '../numbers/quantile.ts';
import type { Side } from './describe.ts';
import type { Envelope } from './envelope.ts';
import type { FittedEnvelope } from './fitEnvelope.ts';
import type { Ridden } from './ridden.ts';
import type { Normals } from './seeded.ts';

/** What is not known of one lap, one standard deviation each. */
export interface LapDoubt {
  /** Where the machine is along the line, constant over a corner, m. */
  readonly alongM: number;
  /** Curvature of its path, the same share all through a corner. */
  readonly bendShare: number;
  /** When drive is picked up beyond `alongM`, s. */
  readonly pickUpS: number;
}

/** Reading a threshold off a channel that rises over some tenths of a second, s. */
export const EVENT_SIGMA_S = 0.03;
/** Part of a corner that its curvature is taken from. */
const TIGHT_PART = 0.5;
/** Height of an antenna that nobody measured, as a share of the radius it takes off a bend per metre of unknown arm. */
const ARM_HEIGHT_SHARE = 0.8;

/** Scatter of the speed from cell to cell, m/s: of the second differences, whose variance is six times that of a cell. */
export function speedScatterMps({ ridden }: Side): number {
  const v = ridden.energy.map((e) => Math.sqrt(2 * e));
  const bends: number[] = [];
  for (let i = 1; i + 1 < v.length; i++) bends.push(Math.abs(v[i - 1]! - 2 * v[i]! + v[i + 1]!));
  return bends.length > 0 ? (1.4826 * median(bends)) / Math.sqrt(6) : 0;
}

/** Doubt of a lap in a corner from the quality of its positions. */
export function lapDoubt(ridden: Ridden, sigmaM: number, shiftSigmaM: number, entryM: number, exitM: number): LapDoubt {
  const { curvaturePerM, directionSigmaRad, fromM, stepM } = ridden;
  const first = Math.max(0, Math.floor((entryM - fromM) / stepM));
  const last = Math.min(curvaturePerM.length - 1, Math.ceil((exitM - fromM) / stepM));
  let sharpest = 1e-9;
  let direction = 0;
  for (let i = first; i <= last; i++) {
    sharpest = Math.max(sharpest, Math.abs(curvaturePerM[i]!));
    direction = Math.max(direction, directionSigmaRad[i]!);
  }
  // The mean curvature of a stretch is the turn between its ends over its length.
  const turn = sharpest * Math.max(stepM, (last - first) * stepM) * TIGHT_PART;
  const single = (Math.SQRT2 * direction) / Math.max(turn, 1e-6);
  return {
    alongM: Math.hypot(shiftSigmaM, 0.5 * sigmaM),
    bendShare: Math.hypot(single, ARM_HEIGHT_SHARE * sharpest * (shiftSigmaM > 0.1 ? shiftSigmaM : 0)),
    pickUpS: EVENT_SIGMA_S,
  };
}

/** A lap as it may have been: shifted, bent and scattered by a draw from its doubt. */
export function drawnSide(side: Side, doubt: LapDoubt, scatterMps: number, normal: Normals): Side {
  const { ridden, events } = side;
  const { energy, fromM, stepM, curvaturePerM } = ridden;
  const alongM = doubt.alongM * normal();
  const bend = 1 + doubt.bendShare * normal();
  const at = Float64Array.from(energy, (_, i) => i * stepM - alongM);
  const own = Float64Array.from(energy, (_, i) => i * stepM);
  const shifted = alongM === 0 ? energy : linearMany(own, energy, at);
  const speed = Math.sqrt(2 * median(energy));
  const pickUp = alongM + doubt.pickUpS * speed * normal();
  return {
    ...side,
    ridden: {
      ...ridden,
      energy: shifted.map((e) => {
        const v = Math.sqrt(2 * e);
        return Math.max(0.3 * v, v + scatterMps * normal()) ** 2 / 2;
      }),
      curvaturePerM: curvaturePerM.map((k) => k * bend),
    },
    events: {
      brakeOnsetM: events.brakeOnsetM === null ? null : Math.max(fromM + 1e-9, events.brakeOnsetM + alongM),
      pickUpM: events.pickUpM === null ? null : events.pickUpM + pickUp,
      upshiftsM: events.upshiftsM?.map((s) => s + alongM) ?? null,
    },
  };
}

/** An envelope as it may be. */
export function drawnEnvelope({ envelope, sigma }: FittedEnvelope, normal: Normals): Envelope {
  const around = (key: keyof FittedEnvelope['sigma']): number =>
    Math.max(0.5 * envelope[key], envelope[key] + sigma[key] * normal());
  return {
    ...envelope,
    tractionMps2: around('tractionMps2'),
    powerWpkg: around('powerWpkg'),
    brakingMps2: around('brakingMps2'),
    lateralMps2: around('lateralMps2'),
    exponent: Math.min(4, Math.max(1.1, around('exponent'))),
  };
}
