import { DriveLimit, type Envelope, heldMps2, resistanceMps2 } from './envelope.ts';
import type { Ingredients, Shift, WindowPlan } from './ingredients.ts';

/** Speeds below this share of the slower lap's are not believed of a mixture. */
const LEAST_SHARE = 0.25;

/**
 * Puts ingredients together: the energy of every cell without the residual, written to `out`.
 *
 * Forward from the start under drive, backward from the corner along the braking curve, the lower of both; through the
 * corner at its shape; forward from pick-up under drive. Braking always ends at the corner's speed, so that no mixture
 * asks for more lateral acceleration than the owner of the grip showed on that line.
 */
export function recompose(plan: WindowPlan, m: Ingredients, envelope: Envelope, out: Float64Array): void {
  const { cells, stepM } = plan;
  if (plan.mode === 'driven') {
    drive(m, envelope, stepM, out, 0, cells, startOf(m, envelope, stepM, m.exitUse[0]!), m.exitUse, 0, m.exitShifts);
    return;
  }
  const cornerM = plan.mode === 'braked' ? cornerOf(plan, m) : plan.rollM;
  const pickUpM = Math.max(m.pickUpM, cornerM + stepM);
  const firstExit = Math.min(cells, Math.max(1, Math.ceil(pickUpM / stepM - 0.5)));
  let energyAtPickUp: number;
  if (plan.mode === 'braked') {
    const energyMid = m.lateralMps2 / (2 * m.meanBend);
    const lastBraking = Math.min(cells - 1, Math.max(-1, Math.ceil(cornerM / stepM - 0.5) - 1));
    brakingCurve(plan, m, energyMid + m.mid[0]!, cornerM, lastBraking, out);
    approach(m, envelope, stepM, out, lastBraking + 1);
    corner(plan, m, out, lastBraking + 1, firstExit, cornerM, pickUpM, energyMid, 1);
    energyAtPickUp = energyMid + m.mid[m.mid.length - 1]!;
  } else if (plan.mode === 'cornered') {
    const firstCorner = Math.min(cells, Math.max(1, Math.ceil(plan.rollM / stepM - 0.5)));
    const energyMid = m.lateralMps2 / (2 * m.meanBend);
    out.fill(Number.POSITIVE_INFINITY, 0, firstCorner);
    corner(plan, m, out, firstCorner, firstExit, plan.rollM, pickUpM, energyMid, 1);
    // Who arrives more slowly than the corner allows goes on driving into it.
    approach(m, envelope, stepM, out, firstExit);
    energyAtPickUp = Math.min(energyMid + m.mid[m.mid.length - 1]!, 1.2 * out[firstExit - 1]!);
  } else {
    const firstCorner = Math.min(cells, Math.max(1, Math.ceil(plan.rollM / stepM - 0.5)));
    const start = startOf(m, envelope, stepM, m.approachUse[0]!);
    drive(m, envelope, stepM, out, 0, firstCorner, start, m.approachUse, 0, m.approachShifts);
    const energyIn = out[firstCorner - 1]!;
    corner(plan, m, out, firstCorner, firstExit, plan.rollM, pickUpM, energyIn, energyIn);
    energyAtPickUp = energyIn * (1 + m.mid[m.mid.length - 1]!);
  }
  if (firstExit >= cells) return;
  const lead = (firstExit + 0.5) * stepM - pickUpM;
  const limit = DriveLimit.of(envelope);
  const available = limit.at(m.powerScale, energyAtPickUp, m.bend[firstExit]!);
  const resistance = resistanceMps2(envelope, m.dragPerM, energyAtPickUp);
  const held = heldMps2(available, resistance);
  const first = held + m.exitUse[0]! * (available - held) - resistance;
  const start = energyAtPickUp + first * m.pathPerStation[firstExit]! * lead;
  drive(m, envelope, stepM, out, firstExit, cells, start, m.exitUse, pickUpM, m.exitShifts);
}

/** Energy in the middle of the first cell, half a step from the start. */
function startOf(m: Ingredients, envelope: Envelope, stepM: number, use: number): number {
  const { energy0 } = m;
  const resistance = resistanceMps2(envelope, m.dragPerM, energy0);
  const available = DriveLimit.of(envelope).at(m.powerScale, energy0, m.bend[0]!);
  const held = heldMps2(available, resistance);
  const gain = held + use * (available - held) - resistance;
  return Math.max(1e-9, energy0 + (gain * stepM * m.pathPerStation[0]!) / 2);
}

/** Where braking meets the corner's shape: as far before the release as the deceleration needs from there on, m from the start. */
function cornerOf(
  { above, stepM, cells }: WindowPlan,
  { releaseM, decelerationMps2, pathPerStation }: Ingredients,
): number {
  const i = Math.min(cells - 1, Math.max(0, Math.floor(releaseM / stepM)));
  return releaseM - above / (decelerationMps2 * pathPerStation[i]!);
}

/** Energies [0, end) on the way to the corner by the braking curve alone. */
function brakingCurve(
  plan: WindowPlan,
  m: Ingredients,
  energyCorner: number,
  cornerM: number,
  last: number,
  out: Float64Array,
): void {
  const { modulation, pathPerStation, decelerationMps2 } = m;
  const { stepM } = plan;
  const top = modulation.length - 1;
  let pathM = 0;
  for (let i = last; i >= 0; i--) {
    const psi = pathPerStation[i]!;
    pathM += i === last ? psi * (cornerM - (i + 0.5) * stepM) : (stepM * (psi + pathPerStation[i + 1]!)) / 2;
    const z = (decelerationMps2 * pathM) / plan.modulationStep;
    const k = Math.floor(z);
    const above =
      k >= top
        ? modulation[top]! + (z - top) * plan.modulationStep
        : modulation[k]! + (z - k) * (modulation[k + 1]! - modulation[k]!);
    out[i] = energyCorner + above;
  }
}

/** Drives forward from the start for as long as the braking curve in `out` allows more. */
function approach(m: Ingredients, envelope: Envelope, stepM: number, out: Float64Array, end: number): void {
  let energy = startOf(m, envelope, stepM, m.approachUse[0]!);
  const limit = DriveLimit.of(envelope);
  const shifting = m.approachShifts.length > 0 ? new Shifting(m.approachShifts) : null;
  for (let i = 0; i < end && energy < out[i]!; i++) {
    out[i] = energy;
    const own = i + 1 < out.length ? m.approachUse[i + 1]! : m.heldUse;
    const use = Number.isNaN(own) ? m.heldUse : own;
    const resistance = resistanceMps2(envelope, m.dragPerM, energy);
    const available = limit.at(m.powerScale, energy, m.bend[i]!);
    const held = heldMps2(available, resistance);
    let gain = held + use * (available - held) - resistance;
    if (shifting) gain -= shifting.missing(energy) * Math.max(0, gain + resistance);
    energy += (gain * stepM * (m.pathPerStation[i]! + m.pathPerStation[Math.min(i + 1, out.length - 1)]!)) / 2;
    if (energy < 1e-9) energy = 1e-9;
  }
}

/** The corner's shape between its beginning and pick-up, with the anchors where they are. */
function corner(
  plan: WindowPlan,
  m: Ingredients,
  out: Float64Array,
  first: number,
  end: number,
  fromM: number,
  toM: number,
  energy: number,
  scale: number,
): void {
  const { mid } = m;
  const place = new Warp(fromM, plan, toM);
  const top = mid.length - 1;
  for (let i = first; i < end; i++) {
    const x = place.share((i + 0.5) * plan.stepM) * top;
    const k = Math.min(top - 1, Math.floor(x));
    out[i] = Math.max(0.05 * energy, energy + scale * (mid[k]! + (x - k) * (mid[k + 1]! - mid[k]!)));
  }
}

/** Drives forward through cells [first, end). `use` counts from `fromM` on in steps. */
function drive(
  m: Ingredients,
  envelope: Envelope,
  stepM: number,
  out: Float64Array,
  first: number,
  end: number,
  start: number,
  use: Float64Array,
  fromM: number,
  shifts: readonly Shift[],
): void {
  let energy = Math.max(start, 1e-9);
  const limit = DriveLimit.of(envelope);
  const shifting = shifts.length > 0 ? new Shifting(shifts) : null;
  const { bend, pathPerStation, powerScale, dragPerM } = m;
  // The use of a step is that at the edge between its cells.
  const offset = 1 - fromM / stepM;
  const last = use.length - 1;
  for (let i = first; i < end; i++) {
    out[i] = energy;
    if (i + 1 === end) break;
    const x = Math.min(last, Math.max(0, i + offset));
    const k = Math.min(last - 1, Math.floor(x));
    const u = last > 0 ? use[k]! + (x - k) * (use[k + 1]! - use[k]!) : use[0]!;
    const resistance = resistanceMps2(envelope, dragPerM, energy);
    const available = limit.at(powerScale, energy, bend[i]!);
    const held = heldMps2(available, resistance);
    let gain = held + u * (available - held) - resistance;
    if (shifting) gain -= shifting.missing(energy) * Math.max(0, gain + resistance);
    energy += (gain * stepM * (pathPerStation[i]! + pathPerStation[i + 1]!)) / 2;
    if (energy < 1e-9) energy = 1e-9;
  }
}

/** Which shifts are going on. */
class Shifting {
  readonly #shifts: readonly Shift[];
  readonly #step: Int32Array;
  #before = Number.NEGATIVE_INFINITY;

  constructor(shifts: readonly Shift[]) {
    this.#shifts = shifts;
    this.#step = new Int32Array(shifts.length).fill(-1);
  }

  /** Share of the drive force missing in the step that begins at an energy. */
  missing(energy: number): number {
    let sum = 0;
    for (let j = 0; j < this.#shifts.length; j++) {
      const { triggerEnergy, missingShare, share } = this.#shifts[j]!;
      // One that would have begun before the stretch is not made up for in it.
      if (this.#step[j] === -1 && energy >= triggerEnergy && this.#before < triggerEnergy)
        this.#step[j] = this.#before === Number.NEGATIVE_INFINITY && energy > 1.02 * triggerEnergy ? -1 : 0;
      const k = this.#step[j]!;
      if (k >= 0 && k < missingShare.length) {
        sum += share * missingShare[k]!;
        this.#step[j] = k + 1;
      }
    }
    this.#before = Math.max(this.#before, energy);
    return sum;
  }
}

/**
 * Maps places between two ends to 0..1 so that the anchors between them keep their shares, and what follows the first
 * end its metres: the last of the brakes takes as long as it takes, however long the corner is held behind it.
 */
export class Warp {
  readonly #knotsM: readonly number[];

  constructor(fromM: number, { anchorsM, settleM }: Pick<WindowPlan, 'anchorsM' | 'settleM'>, toM: number) {
    const knots = settleM > 0 ? [fromM, fromM + settleM, ...anchorsM, toM] : [fromM, ...anchorsM, toM];
    this.#knotsM = knots.every((s, i) => i === 0 || s > knots[i - 1]!) ? knots : [fromM, toM];
  }

  share(stationM: number): number {
    const knots = this.#knotsM;
    const last = knots.length - 1;
    let k = 0;
    while (k < last - 1 && stationM >= knots[k + 1]!) k++;
    const part = (stationM - knots[k]!) / (knots[k + 1]! - knots[k]!);
    return (k + Math.min(1, Math.max(0, part))) / last;
  }

  /** The place at a share. */
  at(share: number): number {
    const knots = this.#knotsM;
    const last = knots.length - 1;
    const k = Math.min(last - 1, Math.floor(share * last));
    return knots[k]! + (share * last - k) * (knots[k + 1]! - knots[k]!);
  }
}

/**
 * Time of a mixture over the stretch, s.
 *
 * @param recomposed (n,) of {@link recompose}
 * @param floor (n,) the lower of the energies of both laps
 */
export function timeOf(m: Ingredients, recomposed: Float64Array, stepM: number, floor: Float64Array): number {
  const { pathPerStation, residual } = m;
  let timeS = 0;
  for (let i = 0; i < recomposed.length; i++) {
    let energy = recomposed[i]! * (1 + residual[i]!);
    if (energy < LEAST_SHARE * floor[i]!) energy = LEAST_SHARE * floor[i]!;
    timeS += pathPerStation[i]! / Math.sqrt(2 * energy);
  }
  return timeS * stepM;
}
