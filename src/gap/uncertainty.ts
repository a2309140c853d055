import { type AlignedLap, rateAt, ratesAt } from '../align/alignLap.ts';

/**
 * One standard deviation of the gap that builds up between two stations, s.
 *
 * Two parts, first order (JCGM 100:2008, 5.1.2). Noise of the position at both stations, independent there and between
 * the laps: σ²(1/v₁² + 1/v₂²) a lap. A constant displacement d of the reference point along the machine, unknown but
 * the same all round: it moves both stations alike, so only d²(1/v₂ − 1/v₁)² a lap is left, nothing over a whole lap,
 * about 37 ms for 1 m into a hairpin. Two laps of one run share their displacement; a lap against itself has no doubt.
 */
export function sigmaBetween(a: AlignedLap, b: AlignedLap, fromM: number, toM: number): number {
  return sigmasFrom(a, b, fromM, Float64Array.of(toM))[0]!;
}

/** {@link sigmaBetween} one station and each of many rising ones. */
export function sigmasFrom(a: AlignedLap, b: AlignedLap, fromM: number, toM: Float64Array): Float64Array {
  const out = new Float64Array(toM.length);
  const oneRun = a.run.trace.recording.sha256 === b.run.trace.recording.sha256;
  if (oneRun && a.lap.number === b.lap.number) return out;
  const [qualityA, qualityB] = [a.run.trace.quality, b.run.trace.quality];
  const [fromA, fromB] = [1 / rateAt(a, fromM), 1 / rateAt(b, fromM)];
  const [rateA, rateB] = [ratesAt(a, toM), ratesAt(b, toM)];
  for (let i = 0; i < out.length; i++) {
    const [toA, toB] = [1 / rateA[i]!, 1 / rateB[i]!];
    const noise = qualityA.sigmaM ** 2 * (fromA ** 2 + toA ** 2) + qualityB.sigmaM ** 2 * (fromB ** 2 + toB ** 2);
    const [shiftA, shiftB] = [qualityA.shiftSigmaM * (toA - fromA), qualityB.shiftSigmaM * (toB - fromB)];
    out[i] = Math.sqrt(noise + (oneRun ? (shiftA - shiftB) ** 2 : shiftA ** 2 + shiftB ** 2));
  }
  return out;
}
