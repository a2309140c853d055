import type { AlignedLap } from '../align/alignLap.ts';
import { cellsIn, type Ridden, riddenOn } from './ridden.ts';

/** A gap split into the way ridden and the speed ridden at. Both sum to the gap. */
export interface LengthAndSpeed {
  readonly lengthS: number;
  readonly speedS: number;
}

/**
 * Splits the gap of a stretch, exactly and without a model: what a longer way costs at the mean slowness of both, and
 * what lower speed costs over the mean way of both (the two-player Shapley value of ∫ψ/v).
 */
export function lengthAndSpeed(lap: Ridden, reference: Ridden): LengthAndSpeed {
  let lengthS = 0;
  let speedS = 0;
  for (let i = 0; i < lap.energy.length; i++) {
    const [a, b] = [lap.pathPerStation[i]! * lap.stepM, reference.pathPerStation[i]! * reference.stepM];
    const [slowA, slowB] = [1 / Math.sqrt(2 * lap.energy[i]!), 1 / Math.sqrt(2 * reference.energy[i]!)];
    lengthS += ((a - b) * (slowA + slowB)) / 2;
    speedS += ((a + b) * (slowA - slowB)) / 2;
  }
  return { lengthS, speedS };
}

/** {@link lengthAndSpeed} of any stretch of two laps; null where one of them did not cover it. */
export function lengthAndSpeedOn(
  lap: AlignedLap,
  reference: AlignedLap,
  fromM: number,
  toM: number,
): LengthAndSpeed | null {
  if (!(toM > fromM)) return { lengthS: 0, speedS: 0 };
  const cells = cellsIn(fromM, toM, lap.run.circuit.lengthM);
  const a = riddenOn(lap, fromM, toM, cells);
  const b = riddenOn(reference, fromM, toM, cells);
  return a && b && lengthAndSpeed(a, b);
}
