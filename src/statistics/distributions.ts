import { compiled, incbet, incbi, ndtr, ndtri } from 'cephes';
import { gaussLegendre } from '../numbers/quadrature.ts';

// Compiled while the module loads, so that the functions below are plain calls. Source of all of them: Moshier, Methods
// and Programs for Mathematical Functions (1989), as packaged by `cephes`.
await compiled;

/** Share of a standard normal below `z`. NaN for NaN. */
export const normalBelow = (z: number): number => ndtr(z);

/** Value with the share `p` of a standard normal below it; infinite at 0 and 1. */
export function normalQuantile(p: number): number {
  if (p <= 0) return Number.NEGATIVE_INFINITY;
  return p >= 1 ? Number.POSITIVE_INFINITY : ndtri(p);
}

/** Two-sided p value of Student's t. `df` > 0, need not be whole; infinite df is the normal distribution. */
export function studentTwoSided(t: number, df: number): number {
  if (!Number.isFinite(df)) return 2 * ndtr(-Math.abs(t));
  return Number.isFinite(t) ? incbet(df / 2, 0.5, df / (df + t * t)) : 0;
}

/** Share of Student's t with `df` degrees of freedom (> 0, need not be whole) below `t`. */
export function studentBelow(t: number, df: number): number {
  const tail = studentTwoSided(t, df) / 2;
  return t > 0 ? 1 - tail : tail;
}

/** Value with the share `p` of Student's t below it. `df` > 0, need not be whole, infinite allowed. */
export function studentQuantile(p: number, df: number): number {
  if (!Number.isFinite(df)) return normalQuantile(p);
  if (p === 0.5) return 0;
  const x = incbi(df / 2, 0.5, 2 * Math.min(p, 1 - p));
  const t = Math.sqrt((df * (1 - x)) / x);
  return p < 0.5 ? -t : t;
}

/** Share of the F distribution above `f`. */
export const fAbove = (f: number, above: number, below: number): number =>
  f <= 0 ? 1 : incbet(below / 2, above / 2, below / (below + above * f));

/** Value with the share `p` of a beta distribution below it; 0 or 1 where a parameter is 0. */
export function betaQuantile(p: number, a: number, b: number): number {
  if (a <= 0) return 0;
  return b <= 0 ? 1 : incbi(a, b, p);
}

/**
 * Power of a two-sided t test: share of samples that pass the limit where the true effect is `ratio` standard errors.
 *
 * @param df of the standard error, > 0
 * @param level of the interval, 0.95 for a test at 5 %
 *
 * Method: the noncentral t distribution as an integral over the estimated standard error (Johnson, Kotz & Balakrishnan,
 * Continuous Univariate Distributions 2 (1995), ch. 31).
 */
export function studentPower(ratio: number, df: number, level: number): number {
  const limit = studentQuantile((1 + level) / 2, df);
  if (!Number.isFinite(df)) return ndtr(ratio - limit) + ndtr(-ratio - limit);
  // Density of the estimated over the true standard error, up to its factor; most of it lies within 8 widths of 1.
  const density = (s: number): number => (s > 0 ? Math.exp((df - 1) * Math.log(s) - (df * (s * s - 1)) / 2) : 0);
  const widest = 1 + 8 / Math.sqrt(df);
  const pieces = 60;
  let mass = 0;
  let passed = 0;
  for (let k = 0; k < pieces; k++) {
    const [from, to] = [(k * widest) / pieces, ((k + 1) * widest) / pieces];
    mass += gaussLegendre(density, from, to);
    passed += gaussLegendre((s) => density(s) * (ndtr(ratio - limit * s) + ndtr(-ratio - limit * s)), from, to);
  }
  return passed / mass;
}
