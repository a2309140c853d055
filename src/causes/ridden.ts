import { type AlignedLap, byStation, timesAt } from '../align/alignLap.ts';
import { onTimeline } from '../align/channel.ts';
import { linearMany } from '../numbers/interpolate.ts';
import { riddenPath } from './riddenPath.ts';

/** A lap on the even cells of a stretch, exact in time: path over time of a cell is its speed. */
export interface Ridden {
  readonly fromM: number;
  readonly stepM: number;
  /** Cells on each side over which energy is smoothed to find levels in it: about two metres of a lap of 3 km. */
  readonly softCells: number;
  /** Whole stretch, s; the sum of path / speed over the cells to rounding. */
  readonly timeS: number;
  /** (n,) metres ridden per metre of station. */
  readonly pathPerStation: Float64Array;
  /** (n,) v² / 2, m²/s². */
  readonly energy: Float64Array;
  /** (n,) of the ridden path, 1/m, left positive. */
  readonly curvaturePerM: Float64Array;
  readonly directionSigmaRad: Float64Array;
  /** (n,) 0 to 1, or null without the channel. */
  readonly throttle: Float64Array | null;
}

/** Cells of about a metre on a lap of 3 km, as many in proportion on a model circuit. */
export function cellsIn(fromM: number, toM: number, lengthM: number, stepM = 1): number {
  const wanted = lengthM / Math.max(500, Math.round(lengthM / stepM));
  return Math.max(4, Math.round((toM - fromM) / wanted));
}

/**
 * Samples a lap on `cells` even cells of [fromM, toM).
 *
 * @returns null where the lap has no time somewhere in it
 */
export function riddenOn(lap: AlignedLap, fromM: number, toM: number, cells: number): Ridden | null {
  const { lengthM } = lap.run.circuit;
  const stepM = (toM - fromM) / cells;
  const edges = Float64Array.from({ length: cells + 1 }, (_, i) => (i === cells ? toM : fromM + i * stepM));
  const times = timesAt(lap, edges);
  const centres = Float64Array.from({ length: cells }, (_, i) => fromM + (i + 0.5) * stepM);
  const path = riddenPath(lap);
  const pathPerStation = linearMany(path.stationM, path.pathPerStation, centres);
  const energy = new Float64Array(cells);
  for (let i = 0; i < cells; i++) {
    const dt = times[i + 1]! - times[i]!;
    if (!(dt > 0)) return null;
    energy[i] = ((pathPerStation[i]! * stepM) / dt) ** 2 / 2;
  }
  const throttle = onTimeline(lap.run, 'throttle');
  return {
    fromM,
    stepM,
    softCells: Math.max(1, Math.round((2 * lengthM) / Math.max(500, Math.round(lengthM)) / stepM)),
    timeS: times[cells]! - times[0]!,
    pathPerStation,
    energy,
    curvaturePerM: linearMany(path.stationM, path.curvaturePerM, centres),
    directionSigmaRad: linearMany(path.stationM, path.directionSigmaRad, centres),
    throttle: throttle && byStation(lap, throttle, centres),
  };
}
