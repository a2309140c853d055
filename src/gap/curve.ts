import { type AlignedLap, byStation, ratesAt, timesAt } from '../align/alignLap.ts';
import { sigmasAlong } from './uncertainty.ts';

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

/** What a lap by itself has along the grid of its circuit. */
interface Along {
  readonly timeS: Float64Array;
  readonly rateMps: Float64Array;
  readonly speedMps: Float64Array;
  readonly offsetM: Float64Array;
}

const known = new WeakMap<AlignedLap, Along>();

/** Worked out once: the reference is compared with every lap. */
function along(lap: AlignedLap, stationM: Float64Array): Along {
  let found = known.get(lap);
  if (!found) {
    found = {
      timeS: timesAt(lap, stationM),
      rateMps: ratesAt(lap, stationM),
      speedMps: byStation(lap, lap.run.speedMps, stationM),
      offsetM: byStation(lap, lap.run.offsetM, stationM),
    };
    known.set(lap, found);
  }
  return found;
}

/** The cumulative gap and what goes with it, along the lap. Gap at a station: time since the gate, lap minus reference. */
export function curvesOf(lap: AlignedLap, reference: AlignedLap): Curves {
  const { stepM, stationM } = stationGrid(lap.run.circuit.lengthM);
  const own = along(lap, stationM);
  const other = along(reference, stationM);
  const sigmaS = sigmasAlong(lap, reference, own.rateMps, other.rateMps);
  const gapS = new Float64Array(stationM.length);
  sigmaS[0] = 0;
  for (let i = 0; i < gapS.length; i++) {
    gapS[i] = own.timeS[i]! - other.timeS[i]!;
    if (Number.isNaN(gapS[i]!)) sigmaS[i] = Number.NaN;
  }
  return {
    stepM,
    stationM,
    timeS: own.timeS,
    gapS,
    sigmaS,
    speedMps: own.speedMps,
    referenceMps: other.speedMps,
    offsetM: own.offsetM,
    referenceOffsetM: other.offsetM,
  };
}
