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
  const [fromA, fromB] = [rateAt(a, fromM), rateAt(b, fromM)];
  return sigmasAlong(a, b, Float64Array.of(fromA, rateAt(a, toM)), Float64Array.of(fromB, rateAt(b, toM)))[1]!;
}

/**
 * {@link sigmaBetween} the first of many stations and each of them.
 *
 * @param rateA,rateB (k,) the laps' rates of station there, m/s
 */
export function sigmasAlong(a: AlignedLap, b: AlignedLap, rateA: Float64Array, rateB: Float64Array): Float64Array {
  const out = new Float64Array(rateA.length);
  const oneRun = a.run.trace.recording.sha256 === b.run.trace.recording.sha256;
  if (oneRun && a.lap.number === b.lap.number) return out;
  const { sigmaM: sigmaA, shiftSigmaM: shiftSigmaA } = a.run.trace.quality;
  const { sigmaM: sigmaB, shiftSigmaM: shiftSigmaB } = b.run.trace.quality;
  const fromA = 1 / rateA[0]!;
  const fromB = 1 / rateB[0]!;
  for (let i = 0; i < out.length; i++) {
    const toA = 1 / rateA[i]!;
    const toB = 1 / rateB[i]!;
    const noise = sigmaA ** 2 * (fromA ** 2 + toA ** 2) + sigmaB ** 2 * (fromB ** 2 + toB ** 2);
    const shiftA = shiftSigmaA * (toA - fromA);
    const shiftB = shiftSigmaB * (toB - fromB);
    out[i] = Math.sqrt(noise + (oneRun ? (shiftA - shiftB) ** 2 : shiftA ** 2 + shiftB ** 2));
  }
  return out;
}
