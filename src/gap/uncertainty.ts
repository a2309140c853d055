import { type AlignedLap, rateAt } from '../align/alignLap.ts';

/**
 * One standard deviation of the gap that builds up between two stations, s.
 *
 * Two parts, first order (JCGM 100:2008, 5.1.2). Noise of the position at both stations, independent there and between
 * the laps: σ²(1/v₁² + 1/v₂²) a lap. A constant displacement d of the reference point along the machine, unknown but
 * the same all round: it moves both stations alike, so only d²(1/v₂ − 1/v₁)² a lap is left, nothing over a whole lap,
 * about 37 ms for 1 m into a hairpin. Two laps of one run share their displacement; a lap against itself has no doubt.
 */
export function sigmaBetween(a: AlignedLap, b: AlignedLap, fromM: number, toM: number): number {
  const oneRun = a.run.trace.recording.sha256 === b.run.trace.recording.sha256;
  if (oneRun && a.lap.number === b.lap.number) return 0;
  const [noiseA, shiftA] = parts(a, fromM, toM);
  const [noiseB, shiftB] = parts(b, fromM, toM);
  const shift = oneRun ? (shiftA - shiftB) ** 2 : shiftA ** 2 + shiftB ** 2;
  return Math.sqrt(noiseA + noiseB + shift);
}

function parts(lap: AlignedLap, fromM: number, toM: number): [number, number] {
  const { sigmaM, shiftSigmaM } = lap.run.trace.quality;
  const slow1 = 1 / rateAt(lap, fromM);
  const slow2 = 1 / rateAt(lap, toM);
  return [sigmaM ** 2 * (slow1 ** 2 + slow2 ** 2), shiftSigmaM * (slow2 - slow1)];
}
