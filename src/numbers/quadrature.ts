const A = Math.sqrt(5 - 2 * Math.sqrt(10 / 7)) / 3;
const B = Math.sqrt(5 + 2 * Math.sqrt(10 / 7)) / 3;
const WA = (322 + 13 * Math.sqrt(70)) / 900;
const WB = (322 - 13 * Math.sqrt(70)) / 900;

/** Places of the five-point Gauss–Legendre rule on [0, 1], rising. */
export const GAUSS_PLACES: readonly number[] = [(1 - B) / 2, (1 - A) / 2, 0.5, (1 + A) / 2, (1 + B) / 2];
/** Weights of the five-point Gauss–Legendre rule on [0, 1]; they sum to 1. */
export const GAUSS_WEIGHTS: readonly number[] = [WB / 2, WA / 2, 64 / 225, WA / 2, WB / 2];

/**
 * Integral of `f` from `from` to `to` by one five-point Gauss–Legendre rule: exact for polynomials of degree nine.
 *
 * Source: closed forms of the places and weights, e.g. DLMF 3.5.
 */
export function gaussLegendre(f: (x: number) => number, from: number, to: number): number {
  let sum = 0;
  for (let k = 0; k < GAUSS_PLACES.length; k++) sum += GAUSS_WEIGHTS[k]! * f(from + (to - from) * GAUSS_PLACES[k]!);
  return sum * (to - from);
}
