import { median } from '../numbers/quantile.ts';
import { calmed } from './calmed.ts';
import { DriveLimit, type Envelope, heldMps2, type MachineShare, resistanceMps2 } from './envelope.ts';
import type { Ingredients, WindowPlan } from './ingredients.ts';
import { recompose, Warp } from './recompose.ts';
import type { Ridden } from './ridden.ts';
import { type FoundShift, shiftsOf } from './shiftsOf.ts';

/** What a rider did in the stretch, as its technique was measured. Stations from the gate; null where there was none. */
export interface RiderEvents {
  readonly brakeOnsetM: number | null;
  readonly pickUpM: number | null;
  /** Where a higher gear was in; null where gears were not logged for both. */
  readonly upshiftsM: readonly number[] | null;
  /** The same of the whole lap. */
  readonly upshiftsNearM?: readonly number[] | null;
}

/** One of the two laps in a stretch. */
export interface Side {
  readonly ridden: Ridden;
  readonly events: RiderEvents;
  readonly machine: MachineShare;
  /** One standard deviation of the corner's mean curvature, as a share of it. */
  readonly bendSigma: number;
}

/** A side whose energy is calmed for its description; what was measured stands beside it. */
interface Calm extends Side {
  readonly measured: Float64Array;
}

function calm(side: Side): Calm {
  const { ridden } = side;
  return {
    ...side,
    ridden: { ...ridden, energy: calmed(ridden.energy, CALM_CELLS * ridden.softCells) },
    measured: ridden.energy,
  };
}

/** What is remarkable about a stretch. */
export type Flag =
  | 'no braking'
  | 'one brakes'
  | 'brake and throttle overlap'
  | 'two apexes'
  | 'gate in the corner'
  | 'no pick-up'
  | 'brakes before the window'
  | 'not described';

export interface Described {
  readonly plan: WindowPlan;
  readonly a: Ingredients;
  readonly b: Ingredients;
  /** (n,) the lower energy of both laps. */
  readonly floor: Float64Array;
  readonly flags: readonly Flag[];
}

/** A dip in speed counts as a braked corner only if it takes off this share of the energy at its bottom. */
const LEAST_DIP = 0.03;
/**
 * Where the corner begins, in energy above its bottom: this share of it, but no more than this share of the lesser dip.
 * Higher up, braking from a high speed would count to the corner.
 */
const LEVEL_OF_MID = 0.15;
const LEVEL_SHARE = 0.08;
/** Behind its bottom a dip has ended once this share of it is made up for. */
const RISE_SHARE = 0.05;
/** Deceleration is taken between these shares of the lesser dip: brakes are built up before it and given up behind it. */
const LOW_SHARE = 0.2;
const TOP_SHARE = 0.75;
/** Energy at the start of a stretch is taken from its first cells, so many times those over which energy is smoothed. */
export const START_REACH = 6;
/** The bottom of a dip is where energy is within this share of the least. */
const BOTTOM_SHARE = 0.02;
/** The approach ends where less than this share of its usual drive is used. */
const LIFT_SHARE = 0.6;
/** Part of the corner that its mean curvature is taken from, as a share of the sharpest. */
const TIGHT_SHARE = 0.7;
/** Standard deviations of a difference of curvature that halve it. */
const DOUBT_WEIGHT = 2.5;
/** Share of a corner's length over which its curvature is smoothed to find where it is tight. */
const TIGHT_SMOOTH = 0.08;
/** A rise of the throttle lasts about this long, s. */
const RISE_S = 0.5;
/** Of the way from where braking ends to the first tight place so much keeps its metres. */
const SETTLE_SHARE = 0.5;
/** Reach on each side over which energy is calmed, so many times that over which it is smoothed to find levels in it. */
const CALM_CELLS = 2.5;
const MODULATION_ENTRIES = 193;
const MID_ENTRIES = 193;

/** The bottom of the speed in a corner and where it is come from. */
interface Dip {
  readonly offRow: number;
  readonly bottomRow: number;
  readonly energyTop: number;
  readonly energyMid: number;
  readonly smooth: Float64Array;
}

/**
 * Describes two laps in one stretch, each by its own ingredients, so that each is got back exactly from them, and under
 * one plan, so that any mixture can be put together. Both laps are treated alike.
 *
 * @param entryM,exitM where the line bends in this corner, stations from the gate
 * @param wholeCorner false for a stretch that the gate cut off and that holds no corner of this lap
 */
export function describePair(
  lap: Side,
  reference: Side,
  entryM: number,
  exitM: number,
  wholeCorner: boolean,
  envelope: Envelope,
): Described {
  const [a, b] = [calm(lap), calm(reference)];
  const cells = a.ridden.energy.length;
  const { stepM, fromM } = a.ridden;
  const floor = a.measured.map((e, i) => Math.min(e, b.measured[i]!));
  const flags: Flag[] = [];
  const sides = [a, b] as const;
  const smooth = sides.map(({ ridden }) => smoothed(ridden.energy, ridden.softCells));
  const uses = sides.map((side) => useOf(side, envelope));
  const dips = wholeCorner ? sides.map((side, k) => dipOf(side, smooth[k]!, uses[k]!, entryM, exitM)) : [null, null];
  const braking = sides.filter(
    ({ events }) => events.brakeOnsetM !== null && inside(events.brakeOnsetM, a.ridden),
  ).length;
  if (wholeCorner && braking === 0) flags.push('no braking');
  if (wholeCorner && braking === 1) flags.push('one brakes');
  if (!wholeCorner) flags.push('gate in the corner');

  const tight = tightOf(a.ridden, b.ridden, entryM, exitM, Math.hypot(a.bendSigma, b.bendSigma));
  const [dipA, dipB] = dips;
  let plan: WindowPlan = {
    mode: 'driven',
    cells,
    stepM,
    above: 0,
    modulationStep: 1,
    anchorsM: [],
    settleM: 0,
    rollM: 0,
  };
  const bottom = (side: Side, dip: Dip | null | undefined, k: number): number =>
    dip ? dip.bottomRow : slowestRow(smooth[k]!, entryM - fromM, exitM - fromM, side.ridden.stepM);
  const events = sides.every(({ events }) => events.pickUpM !== null && events.pickUpM > fromM);
  let pickUps = sides.map(({ events, ridden }) =>
    events.pickUpM === null ? null : openedM(ridden, events.pickUpM - fromM),
  );
  if (wholeCorner && pickUps.every((s) => s === null) && dipA && dipB) {
    // Nobody opens the throttle between this corner and the next: all of the window is the corner.
    pickUps = [cells * stepM, cells * stepM];
  } else if (!events) {
    // Without the event in one lap both use the same rule: where the speed has risen again by a little.
    if (wholeCorner && pickUps.some((s) => s !== null)) flags.push('no pick-up');
    pickUps = sides.map((side, k) => riseM(smooth[k]!, bottom(side, dips[k], k), side.ridden.stepM));
  }
  if (dipA && dipB) {
    const lesser = Math.min(dipA.energyTop - dipA.energyMid, dipB.energyTop - dipB.energyMid);
    {
      const above = Math.min(LEVEL_SHARE * lesser, LEVEL_OF_MID * Math.min(dipA.energyMid, dipB.energyMid));
      // The (first) tight place is what is braked for; it may be slowest at a second apex, or where a late throttle lets it run out.
      const floors = [dipA, dipB].map((dip) => shelfOf(dip, tight.anchorsM[0], stepM));
      const corners = [dipA, dipB].map((dip, k) => crossingM(dip.smooth, dip.bottomRow, floors[k]! + above, stepM));
      const late = Math.max(...corners) + stepM;
      const early = Math.min(...pickUps.map((s) => s!)) - stepM;
      const anchorsM = tight.anchorsM.filter((s) => s > late && s < early);
      const settleM = Math.max(0, SETTLE_SHARE * ((anchorsM[0] ?? early) - late));
      plan = { ...plan, mode: 'braked', above, anchorsM, settleM, modulationStep: 0 };
      corners.forEach((s, k) => {
        if (pickUps[k]! < s && !flags.includes('brake and throttle overlap')) flags.push('brake and throttle overlap');
      });
      if ([dipA, dipB].some(({ offRow }) => offRow <= 1)) flags.push('brakes before the window');
      if (tight.anchorsM.length > 1) flags.push('two apexes');
      const fall = Math.min(...[dipA, dipB].map((d, k) => d.energyTop - floors[k]! - above));
      const decelerations = [dipA, dipB].map((dip, k) => {
        const from = Math.max(0, Math.floor(corners[k]! / stepM));
        const [lowM, highM] = [LOW_SHARE, TOP_SHARE].map((share) =>
          crossingM(dip.smooth, from, floors[k]! + above + share * fall, stepM),
        ) as [number, number];
        const pathM = pathBetween(sides[k]!.ridden.pathPerStation, stepM, highM, lowM);
        return ((TOP_SHARE - LOW_SHARE) * fall) / Math.max(pathM, 0.25 * stepM);
      });
      const far = Math.max(
        ...[dipA, dipB].map(
          (dip, k) =>
            decelerations[k]! * pathBetween(sides[k]!.ridden.pathPerStation, stepM, dip.offRow * stepM, corners[k]!),
        ),
      );
      plan = { ...plan, modulationStep: Math.max(far, 1e-9) / (MODULATION_ENTRIES - 1) };
      const made = [dipA, dipB].map((dip, k) =>
        braked(sides[k]!, dip, floors[k]!, plan, corners[k]!, decelerations[k]!, pickUps[k]!, tight.mean[k]!, envelope),
      );
      return { plan, a: made[0]!, b: made[1]!, floor, flags };
    }
  }
  const one = dips.find((d) => d != null);
  if (wholeCorner && (one || events)) {
    const rollM = Math.max(stepM, Math.min(entryM - fromM, ...dips.flatMap((d) => (d ? [d.offRow * stepM] : []))));
    const early = Math.min(...pickUps.map((s) => s!));
    if (rollM < (cells - 5) * stepM && early > rollM + 2 * stepM)
      plan = {
        ...plan,
        mode: one ? 'cornered' : 'rolled',
        rollM,
        anchorsM: tight.anchorsM.filter((s) => s > rollM + stepM && s < early - stepM),
      };
  }
  const made = sides.map((side, k) => driven(side, plan, pickUps[k]!, tight.mean[k]!, envelope, smooth[k]!));
  return { plan, a: made[0]!, b: made[1]!, floor, flags };
}

function braked(
  side: Calm,
  dip: Dip,
  floor: number,
  plan: WindowPlan,
  cornerM: number,
  decelerationMps2: number,
  pickUp: number,
  meanBend: number,
  envelope: Envelope,
): Ingredients {
  const { ridden } = side;
  const { stepM, cells } = plan;
  const pickUpM = Math.max(pickUp, cornerM + stepM);
  const energyCorner = floor + plan.above;
  // With the path per station where it ends up, as recomposing takes it.
  let releaseM = cornerM;
  for (let k = 0; k < 3; k++) {
    const i = Math.min(cells - 1, Math.max(0, Math.floor(releaseM / stepM)));
    releaseM = cornerM + plan.above / (decelerationMps2 * ridden.pathPerStation[i]!);
  }
  const modulation = new Float64Array(MODULATION_ENTRIES);
  // Energies of the cells on the way to the corner, by deceleration times distance to it.
  const last = Math.min(cells - 1, Math.ceil(cornerM / stepM - 0.5) - 1);
  let [z0, e0] = [0, 0];
  let i = last;
  let pathM = 0;
  let next = 1;
  const psi = ridden.pathPerStation;
  while (next < MODULATION_ENTRIES && i >= dip.offRow) {
    pathM += i === last ? psi[i]! * (cornerM - (i + 0.5) * stepM) : (stepM * (psi[i]! + psi[i + 1]!)) / 2;
    const z1 = decelerationMps2 * pathM;
    const e1 = ridden.energy[i]! - energyCorner;
    while (next < MODULATION_ENTRIES && next * plan.modulationStep <= z1) {
      const share = z1 > z0 ? (next * plan.modulationStep - z0) / (z1 - z0) : 1;
      modulation[next++] = e0 + share * (e1 - e0);
    }
    [z0, e0] = [z1, e1];
    i--;
  }
  // Who brakes later than the other has nothing to say about what is before; on at the usual deceleration.
  for (; next < MODULATION_ENTRIES; next++) modulation[next] = e0 + (next * plan.modulationStep - z0);

  const place = new Warp(cornerM, plan, pickUpM);
  const mid = new Float64Array(MID_ENTRIES);
  for (let k = 0; k < MID_ENTRIES; k++) mid[k] = energyAt(ridden, place.at(k / (MID_ENTRIES - 1))) - dip.energyMid;
  mid[0] = energyCorner - dip.energyMid;
  return finished(side, plan, envelope, dip.offRow, pickUpM, {
    releaseM,
    modulation,
    decelerationMps2,
    lateralMps2: 2 * dip.energyMid * meanBend,
    meanBend,
    mid,
  });
}

function driven(
  side: Calm,
  plan: WindowPlan,
  pickUp: number,
  meanBend: number,
  envelope: Envelope,
  smooth: Float64Array,
): Ingredients {
  const { ridden } = side;
  const corner = plan.mode !== 'driven';
  const pickUpM = corner ? pickUp : 0;
  const mid = new Float64Array(corner ? MID_ENTRIES : 2);
  const firstCorner = Math.min(plan.cells, Math.max(1, Math.ceil(plan.rollM / plan.stepM - 0.5)));
  let scale = 1;
  if (corner) {
    const [first, last] = [firstCorner, Math.min(plan.cells - 1, Math.ceil(pickUpM / plan.stepM))];
    scale = plan.mode === 'rolled' ? smooth[firstCorner - 1]! : Math.min(...smooth.subarray(first, last + 1));
    const place = new Warp(plan.rollM, plan, pickUpM);
    for (let k = 0; k < MID_ENTRIES; k++) {
      const energy = energyAt(ridden, place.at(k / (MID_ENTRIES - 1)));
      mid[k] = plan.mode === 'rolled' ? energy / scale - 1 : energy - scale;
    }
  }
  return finished(side, plan, envelope, corner ? firstCorner : plan.cells, pickUpM, {
    releaseM: 0,
    modulation: new Float64Array(2),
    decelerationMps2: 1,
    lateralMps2: plan.mode === 'cornered' ? 2 * scale * meanBend : 1,
    meanBend: plan.mode === 'cornered' ? meanBend : 1,
    mid,
  });
}

/** Adds what every mode has: line, drive, shifts, machine, and what is left over. */
function finished(
  side: Calm,
  plan: WindowPlan,
  envelope: Envelope,
  offRow: number,
  pickUpM: number,
  own: Pick<Ingredients, 'releaseM' | 'modulation' | 'decelerationMps2' | 'lateralMps2' | 'meanBend' | 'mid'>,
): Ingredients {
  const { ridden, machine, events } = side;
  const { cells, stepM } = plan;
  const bend = ridden.curvaturePerM.map(Math.abs);
  const { approach, exit } = shiftsOf(
    events.upshiftsM?.map((s) => s - ridden.fromM) ?? [],
    side,
    envelope,
    plan.mode === 'driven' ? 0 : offRow,
    Math.max(0, Math.ceil(pickUpM / stepM)),
  );
  const raw = useOf(side, envelope, [...approach, ...exit]);
  // Use at the edge before each cell; the step from cell i goes over edge i + 1. The first is that of the half step in.
  const energy0 = startEnergy(ridden);
  const approachUse = new Float64Array(cells).fill(Number.NaN);
  approachUse[0] = useOfStart(side, envelope, energy0, bend[0]!);
  for (let i = 0; i < Math.min(offRow, cells - 1); i++) approachUse[i + 1] = raw[i]!;
  const held = heldUseOf(raw, offRow);
  const exitUse = new Float64Array(cells);
  for (let j = 0; j < cells; j++) {
    const x = Math.min(cells - 2, Math.max(0, pickUpM / stepM + j - 1));
    const k = Math.min(cells - 3, Math.floor(x));
    exitUse[j] = raw[k]! + (x - k) * (raw[k + 1]! - raw[k]!);
  }
  if (plan.mode === 'driven') exitUse[0] = approachUse[0]!;
  const ingredients: Ingredients = {
    ...own,
    energy0,
    pathPerStation: ridden.pathPerStation,
    bend,
    pickUpM,
    approachUse,
    heldUse: held,
    exitUse,
    approachShifts: approach.map(({ shift }) => shift),
    exitShifts: exit.map(({ shift }) => shift),
    powerScale: machine.powerScale,
    dragPerM: machine.dragPerM,
    residual: new Float64Array(cells),
  };
  const again = new Float64Array(cells);
  recompose(plan, ingredients, envelope, again);
  for (let i = 0; i < cells; i++) ingredients.residual[i] = side.measured[i]! / again[i]! - 1;
  return ingredients;
}

/**
 * Use that goes on where a mixture brakes later than the lap itself: the usual one of the rows behind, as one that has
 * begun to brake, or scatter, would itself brake in the mixture.
 */
function heldUseOf(use: Float64Array, offRow: number): number {
  if (offRow === 0) return 0;
  const clear = Math.max(1, offRow - 3);
  const from = Math.max(0, clear - Math.max(8, Math.round(0.3 * offRow)));
  return Math.max(0, median(use.subarray(from, clear)));
}

/** Energy at the start itself: of a parabola through the first cells, so that scatter and the length of a cell hardly matter. */
function startEnergy({ energy, softCells }: Ridden): number {
  const n = Math.min(energy.length, START_REACH * softCells);
  const half = n / 2;
  // Orthogonal on even points: 1, x, x² less its mean, with the start at x = -1.
  let squares = 0;
  for (let i = 0; i < n; i++) squares += ((i + 0.5) / half - 1) ** 2;
  const mean = squares / n;
  let [level, slope, bow, bows] = [0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const x = (i + 0.5) / half - 1;
    level += energy[i]! / n;
    slope += (energy[i]! * x) / squares;
    bow += energy[i]! * (x * x - mean);
    bows += (x * x - mean) ** 2;
  }
  return Math.max(0.5 * energy[0]!, level - slope + (bow / bows) * (1 - mean));
}

/** Share of the drive beyond resistance that each step uses, what shifts are missing given back. (n − 1 entries and one more.) */
function useOf({ ridden, machine }: Side, envelope: Envelope, shifts: readonly FoundShift[] = []): Float64Array {
  const { energy, pathPerStation, curvaturePerM, stepM } = ridden;
  const n = energy.length;
  const out = new Float64Array(n);
  const missing = new Float64Array(n);
  const limit = DriveLimit.of(envelope);
  for (const { row, missingMps2 } of shifts)
    for (let k = 0; k < missingMps2.length && row + k < n; k++) missing[row + k]! += missingMps2[k]!;
  for (let i = 0; i + 1 < n; i++) {
    const gain = (2 * (energy[i + 1]! - energy[i]!)) / (stepM * (pathPerStation[i]! + pathPerStation[i + 1]!));
    const resistance = resistanceMps2(envelope, machine.dragPerM, energy[i]!);
    const available = limit.at(machine.powerScale, energy[i]!, Math.abs(curvaturePerM[i]!));
    const held = heldMps2(available, resistance);
    out[i] = (gain + missing[i]! + resistance - held) / (available - held);
  }
  out[n - 1] = out[n - 2]!;
  return out;
}

/** Use over the half cell from the start to the middle of the first cell. */
function useOfStart({ ridden, machine }: Side, envelope: Envelope, energy0: number, bend: number): number {
  const gain = (2 * (ridden.energy[0]! - energy0)) / (ridden.stepM * ridden.pathPerStation[0]!);
  const resistance = resistanceMps2(envelope, machine.dragPerM, energy0);
  const available = DriveLimit.of(envelope).at(machine.powerScale, energy0, bend);
  const held = heldMps2(available, resistance);
  return (gain + resistance - held) / (available - held);
}

/** The dip of the speed in a corner, by the brakes or by a closed throttle alone; null where there is none worth it. */
function dipOf(side: Side, smooth: Float64Array, use: Float64Array, entryM: number, exitM: number): Dip | null {
  const { ridden, events } = side;
  const { fromM, stepM } = ridden;
  const n = smooth.length;
  const slowest = slowestRow(smooth, entryM - fromM, exitM - fromM, stepM);
  let onset: number;
  if (events.brakeOnsetM !== null && inside(events.brakeOnsetM, ridden))
    onset = Math.min(n - 1, Math.max(0, Math.floor((events.brakeOnsetM - fromM) / stepM)));
  else {
    onset = slowest;
    for (let i = slowest; i >= 0 && smooth[i]! > 0.9 * smooth[onset]!; i--) if (smooth[i]! > smooth[onset]!) onset = i;
  }
  let top = smooth[onset]!;
  let bottom = onset;
  for (let i = onset; i < n; i++) {
    if (i - onset < 10 && smooth[i]! > top) top = smooth[i]!;
    if (smooth[i]! < smooth[bottom]!) bottom = i;
    else if (smooth[i]! > smooth[bottom]! + Math.max(RISE_SHARE * (top - smooth[bottom]!), 0.01 * smooth[bottom]!))
      break;
  }
  if (bottom >= n - 3 || bottom <= onset + 2) return null;
  const offRow = liftRow(use, onset);
  let [sum, count] = [0, 0];
  const limit = smooth[bottom]! * (1 + Math.min(BOTTOM_SHARE, 0.2 * (top / smooth[bottom]! - 1)));
  for (let i = bottom; i >= onset && smooth[i]! <= limit; i--, count++) sum += ridden.energy[i]!;
  for (let i = bottom + 1; i < n && smooth[i]! <= limit; i++, count++) sum += ridden.energy[i]!;
  const energyMid = sum / count;
  if (smooth[offRow]! / energyMid - 1 < LEAST_DIP) return null;
  return { offRow, bottomRow: bottom, energyTop: smooth[offRow]!, energyMid, smooth };
}

/** Energy at a corner's first tight place, where a later place is slower; else that of the bottom. */
function shelfOf({ smooth, bottomRow, energyMid }: Dip, firstTightM: number | undefined, stepM: number): number {
  if (firstTightM === undefined) return energyMid;
  const row = Math.floor(firstTightM / stepM);
  return row < bottomRow ? Math.max(energyMid, smooth[row]!) : energyMid;
}

/** Row at which drive on the way to the corner ends, at or before the onset of braking. */
function liftRow(use: Float64Array, onset: number): number {
  if (onset < 8) return onset;
  const soft = smoothed(use.subarray(0, onset), 3);
  const usual = median(soft);
  if (!(usual > 0.15)) return onset;
  let i = onset - 1;
  while (i > 0 && soft[i]! < LIFT_SHARE * usual) i--;
  // The mean over the neighbours shows the lift this much early.
  return Math.min(onset, i + 2);
}

function inside(stationM: number, { fromM, stepM, energy }: Ridden): boolean {
  // Half a corner's length before its window still counts: a corner so close to the last that braking for it began there.
  return stationM >= fromM - 0.25 * stepM * energy.length && stationM < fromM + stepM * energy.length;
}

/** Where energy falls through a level on the way down to a row, m from the start. */
function crossingM(smooth: Float64Array, bottomRow: number, level: number, stepM: number): number {
  let i = bottomRow;
  while (i > 0 && smooth[i]! < level) i--;
  if (smooth[i]! < level || i === bottomRow) return (i + 0.5) * stepM;
  return (i + 0.5 + (smooth[i]! - level) / (smooth[i]! - smooth[i + 1]!)) * stepM;
}

/**
 * Where the throttle begins to open, m from the start: as far before it is half open as an even rise would begin that
 * opens as much on the way. Taken from the area below the rise and not from its foot, because a trickle that holds the
 * machine through the bend moves the foot by ten metres as soon as it has no dip before the rise. As measured where
 * there is no throttle.
 */
function openedM({ throttle, energy, stepM }: Ridden, halfOpenM: number): number {
  if (!throttle) return halfOpenM;
  const half = Math.min(throttle.length - 1, Math.max(0, Math.floor(halfOpenM / stepM - 0.5)));
  const first = Math.max(0, half - Math.round((RISE_S * Math.sqrt(2 * energy[half]!)) / stepM));
  let foot = throttle[half]!;
  for (let i = Math.max(0, 2 * first - half); i < half; i++) foot = Math.min(foot, throttle[i]!);
  const top = throttle[Math.min(throttle.length - 1, half + 1)]!;
  let areaM = 0;
  for (let i = first; i <= half; i++)
    areaM += stepM * Math.min(1, Math.max(0, (throttle[i]! - foot) / Math.max(1e-9, top - foot)));
  // An even rise has half of its way below it.
  return halfOpenM - 2 * areaM;
}

/** Where energy has risen again a little behind the slowest row, m from the start. */
function riseM(smooth: Float64Array, bottomRow: number, stepM: number): number {
  const level = 1.03 * smooth[bottomRow]!;
  let i = bottomRow;
  while (i < smooth.length - 1 && smooth[i]! < level) i++;
  const share = i > 0 && smooth[i]! >= level ? (smooth[i]! - level) / Math.max(1e-12, smooth[i]! - smooth[i - 1]!) : 0;
  return (i + 0.5 - Math.min(1, share)) * stepM;
}

function slowestRow(smooth: Float64Array, fromM: number, toM: number, stepM: number): number {
  const last = smooth.length - 1;
  const first = Math.min(last, Math.max(0, Math.floor(fromM / stepM)));
  let row = first;
  for (let i = first; i <= Math.min(last, Math.ceil(toM / stepM)); i++) if (smooth[i]! < smooth[row]!) row = i;
  return row;
}

function energyAt({ energy, stepM }: Ridden, stationM: number): number {
  const x = Math.min(energy.length - 1, Math.max(0, stationM / stepM - 0.5));
  const k = Math.min(energy.length - 2, Math.floor(x));
  return energy[k]! + (x - k) * (energy[k + 1]! - energy[k]!);
}

/** Metres ridden between two places, m from the start. */
function pathBetween(pathPerStation: Float64Array, stepM: number, fromM: number, toM: number): number {
  let sum = 0;
  const first = Math.max(0, Math.floor(fromM / stepM));
  const last = Math.min(pathPerStation.length - 1, Math.floor(toM / stepM));
  for (let i = first; i <= last; i++)
    sum += pathPerStation[i]! * Math.max(0, Math.min(toM, (i + 1) * stepM) - Math.max(fromM, i * stepM));
  return sum;
}

/** The tight part of a corner, the same stations for both laps: mean curvature of each, and the middles of its parts. */
function tightOf(
  a: Ridden,
  b: Ridden,
  entryM: number,
  exitM: number,
  sigma: number,
): { mean: number[]; anchorsM: number[] } {
  const { stepM, fromM } = a;
  const n = a.energy.length;
  const first = Math.min(n - 1, Math.max(0, Math.floor((entryM - fromM) / stepM)));
  const last = Math.min(n - 1, Math.max(first, Math.ceil((exitM - fromM) / stepM)));
  const mean = a.curvaturePerM.map((k, i) => (k + b.curvaturePerM[i]!) / 2);
  // Scatter of the curvature must not break a steady bend into pieces.
  const both = smoothed(mean, Math.max(2, Math.round(TIGHT_SMOOTH * (last - first)))).map(Math.abs);
  let most = 0;
  for (let i = first; i <= last; i++) most = Math.max(most, both[i]!);
  const anchorsM: number[] = [];
  const sums = [0, 0];
  const ways = [0, 0];
  let [weight, moment] = [0, 0];
  const close = (): void => {
    if (weight > 0) anchorsM.push(moment / weight);
    [weight, moment] = [0, 0];
  };
  for (let i = first; i <= last; i++) {
    if (both[i]! < TIGHT_SHARE * most) {
      close();
      continue;
    }
    weight += both[i]!;
    moment += both[i]! * (i + 0.5) * stepM;
    [a, b].forEach(({ curvaturePerM, pathPerStation }, k) => {
      sums[k]! += curvaturePerM[i]! * pathPerStation[i]!;
      ways[k]! += pathPerStation[i]!;
    });
  }
  close();
  const [meanA, meanB] = sums.map((sum, k) => Math.max(1e-6, Math.abs(sum / ways[k]!))) as [number, number];
  // A difference within its doubt is no difference: shrunk by as much as doubt has part in it.
  const common = Math.sqrt(meanA * meanB);
  const apart = Math.log(meanA / meanB);
  const kept = apart === 0 ? 0 : apart ** 3 / (apart ** 2 + (DOUBT_WEIGHT * sigma) ** 2);
  return { mean: [common * Math.exp(kept / 2), common * Math.exp(-kept / 2)], anchorsM };
}

function smoothed(values: Float64Array, reach: number): Float64Array {
  const n = values.length;
  return values.map((_, i) => {
    // Symmetric at the ends too, so that a slope stays where it is.
    const r = Math.min(reach, i, n - 1 - i);
    let sum = 0;
    for (let k = i - r; k <= i + r; k++) sum += values[k]!;
    return sum / (2 * r + 1);
  });
}
