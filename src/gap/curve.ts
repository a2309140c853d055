import { type AlignedLap, byStation, timesAt } from '../align/alignLap.ts';
import { sigmasFrom } from './uncertainty.ts';

/** Curves of a lap against the reference on an even grid, index i at station i * stepM; NaN where a lap has none. */
export interface Curves {
  readonly stepM: number;
  readonly stationM: Float64Array;
  readonly timeS: Float64Array;
  readonly gapS: Float64Array;
  readonly sigmaS: Float64Array;
  readonly speedMps: Float64Array;
  readonly referenceMps: Float64Array;
  readonly offsetM: Float64Array;
  readonly referenceOffsetM: Float64Array;
}

/** Even stations from 0 to the length, about 1 m apart, at least 500 steps so that a model circuit is drawn as well. */
export function stationGrid(lengthM: number): { stepM: number; stationM: Float64Array } {
  const steps = Math.max(500, Math.round(lengthM));
  const stepM = lengthM / steps;
  const stationM = new Float64Array(steps + 1);
  for (let i = 0; i < steps; i++) stationM[i] = i * stepM;
  stationM[steps] = lengthM;
  return { stepM, stationM };
}

/** The cumulative gap and what goes with it, along the lap. Gap at a station: time since the gate, lap minus reference. */
export function curvesOf(lap: AlignedLap, reference: AlignedLap): Curves {
  const { stepM, stationM } = stationGrid(lap.run.circuit.lengthM);
  const timeS = timesAt(lap, stationM);
  const other = timesAt(reference, stationM);
  const sigmaS = sigmasFrom(lap, reference, 0, stationM);
  const gapS = new Float64Array(stationM.length);
  sigmaS[0] = 0;
  for (let i = 0; i < gapS.length; i++) {
    gapS[i] = timeS[i]! - other[i]!;
    if (Number.isNaN(gapS[i]!)) sigmaS[i] = Number.NaN;
  }
  return {
    stepM,
    stationM,
    timeS,
    gapS,
    sigmaS,
    speedMps: byStation(lap, lap.run.speedMps, stationM),
    referenceMps: byStation(reference, reference.run.speedMps, stationM),
    offsetM: byStation(lap, lap.run.offsetM, stationM),
    referenceOffsetM: byStation(reference, reference.run.offsetM, stationM),
  };
}
