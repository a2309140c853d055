import { type CyclicBand, cyclicBand } from './cyclicBand.ts';

/** Degrees of freedom count a little more than once, so that the rule does not follow noise now and then. */
const CAUTION = 1.1;

/** Points that are to be smoothed around a ring. */
export interface RingData {
  /** (n,) place of each point as a share of the ring, 0 to 1. */
  readonly share: Float64Array;
  /** One (n,) array for each coordinate. */
  readonly values: readonly Float64Array[];
  /** (n,) not negative. */
  readonly weight: Float64Array;
}

export interface RingSmoother {
  /**
   * The smooth curve whose waves of length `cutoff` (share of the ring) are let through by half; longer ones pass,
   * shorter ones do not (the sixth power of the ratio).
   */
  smooth(cutoff: number): RingCurve;
  /**
   * Generalised cross-validation: how badly the curve would foretell points left out, up to a constant factor.
   * Method: Craven & Wahba, Numer. Math. 31 (1979) 377; with the caution of Kim & Gu, J. R. Stat. Soc. B 66 (2004) 337,
   * at a tenth instead of their four tenths, which few points cannot afford.
   */
  score(cutoff: number): number;
}

/** Coefficients of uniform cubic B-splines around the ring, one array for each coordinate. */
export interface RingCurve {
  readonly coefficients: readonly Float64Array[];
}

/** Values of the four cubic B-splines that are not zero at a share `u` of a knot interval. */
function basis(u: number): [number, number, number, number] {
  const v = 1 - u;
  return [v ** 3 / 6, (3 * u ** 3 - 6 * u ** 2 + 4) / 6, (3 * v ** 3 - 6 * v ** 2 + 4) / 6, u ** 3 / 6];
}

/** Value of each coordinate of the curve at a share of the ring, 0 to 1. */
export function ringValue({ coefficients }: RingCurve, share: number): number[] {
  const n = coefficients[0]!.length;
  const place = share * n;
  const k = Math.floor(place);
  const weights = basis(place - k);
  return coefficients.map((list) => weights.reduce((sum, weight, d) => sum + weight * list[(k + d + n - 1) % n]!, 0));
}

/**
 * Penalised cubic B-splines on a ring: least squares to weighted points plus a penalty on third differences of the
 * coefficients.
 *
 * @param knots of the ring, at least 8
 *
 * Method: Eilers & Marx, Stat. Sci. 11 (1996) 89.
 */
export function ringSmoother({ share, values, weight }: RingData, knots: number): RingSmoother {
  const count = share.length;
  const gram = [0, 1, 2, 3].map(() => new Float64Array(knots));
  const rights = values.map(() => new Float64Array(knots));
  let total = 0;
  let used = 0;
  // Points are taken from their middle, so that squares do not lose the digits that matter.
  const middle = values.map((list) => list.reduce((sum, value) => sum + value, 0) / count);
  let squares = 0;
  for (let i = 0; i < count; i++) {
    const w = weight[i]!;
    if (!(w > 0)) continue;
    total += w;
    used++;
    const place = share[i]! * knots;
    const k = Math.floor(place);
    const b = basis(place - k);
    for (let r = 0; r < 4; r++) {
      const row = (k + r + knots - 1) % knots;
      for (let c = r; c < 4; c++) gram[c - r]![row]! += w * b[r]! * b[c]!;
      for (const [axis, list] of values.entries()) rights[axis]![row]! += w * b[r]! * (list[i]! - middle[axis]!);
    }
    for (const [axis, list] of values.entries()) squares += w * (list[i]! - middle[axis]!) ** 2;
  }
  const density = total / knots;
  // Third differences, squared: 20, -15, 6, -1 around the diagonal; a wave of angle t per knot is weighed (2 - 2 cos t)³.
  const stencil = [20, -15, 6, -1];
  const wave = (angle: number): number => (2 - 2 * Math.cos(angle)) ** 3;

  const matrixOf = (cutoff: number): CyclicBand => {
    const penalty = density / wave(Math.min(Math.PI, (2 * Math.PI) / (knots * cutoff)));
    return cyclicBand(gram.map((band, d) => band.map((entry) => entry + penalty * stencil[d]!)));
  };
  const solve = (matrix: CyclicBand): Float64Array[] =>
    rights.map((right) => {
      const z = right.slice();
      matrix.solve(z);
      return z;
    });
  return {
    smooth(cutoff) {
      const coefficients = solve(matrixOf(cutoff));
      return { coefficients: coefficients.map((list, axis) => list.map((value) => value + middle[axis]!)) };
    },
    score(cutoff) {
      const matrix = matrixOf(cutoff);
      let rest = squares;
      for (const [axis, z] of solve(matrix).entries()) {
        for (let i = 0; i < knots; i++) {
          rest += z[i]! * (gram[0]![i]! * z[i]! - 2 * rights[axis]![i]!);
          for (let d = 1; d <= 3; d++) rest += 2 * z[i]! * gram[d]![i]! * z[(i + d) % knots]!;
        }
      }
      // Trace of the matrix that turns data into fitted values.
      let freedom = 0;
      for (const [d, band] of matrix.inverse().entries()) {
        for (let i = 0; i < knots; i++) freedom += (d === 0 ? 1 : 2) * gram[d]![i]! * band[i]!;
      }
      const left = used - CAUTION * freedom;
      return left > 0 ? (used * Math.max(0, rest)) / left ** 2 : Number.POSITIVE_INFINITY;
    },
  };
}
