import { studentBelow } from './distributions.ts';

/** What was measured of one of several like quantities, with its standard error. */
export interface Measured {
  readonly value: number;
  /** > 0 */
  readonly standardError: number;
}

export interface Shrunk {
  /** Drawn towards the common mean by as much as the measurement is doubtful. */
  readonly value: number;
  readonly sd: number;
  /** Share of the way to the common mean, 0 to 1. */
  readonly shrinkage: number;
}

export interface Shrinkage {
  readonly items: readonly Shrunk[];
  readonly centre: number;
  /** Standard deviation of the true values; 0 where the measurements scatter no more than their errors. */
  readonly between: number;
}

/**
 * Empirical Bayes: many noisy measurements of like quantities (losses of corners) drawn towards their mean, so that the
 * largest of them is not simply the luckiest.
 *
 * @param measured up to three are left as they are
 *
 * Example: 18 players' first 45 turns (Efron & Morris) are drawn in by 0.788.
 * Source: Morris, J. Am. Stat. Assoc. 78 (1983) 47, with its factor (k - 3) / (k - 1) and its variance for unequal errors.
 */
export function shrink(measured: readonly Measured[]): Shrinkage {
  const k = measured.length;
  const plain = measured.map(({ value, standardError }) => ({ value, sd: standardError, shrinkage: 0 }));
  if (k <= 3) {
    const centre = measured.reduce((s, { value }) => s + value / k, 0);
    return { items: plain, centre, between: Number.NaN };
  }
  let between = 0;
  let centre = 0;
  // Weights and the variance between depend on each other; a few rounds settle both.
  for (let round = 0; round < 200; round++) {
    const weights = measured.map(({ standardError }) => 1 / (standardError ** 2 + between));
    const total = weights.reduce((s, w) => s + w, 0);
    centre = measured.reduce((s, { value }, i) => s + weights[i]! * value, 0) / total;
    const next =
      measured.reduce((s, { value, standardError }, i) => {
        return s + weights[i]! * ((k / (k - 1)) * (value - centre) ** 2 - standardError ** 2);
      }, 0) / total;
    const before = between;
    between = Math.max(0, next);
    if (Math.abs(between - before) <= 1e-12 * (between + 1e-12)) break;
  }
  const typical = measured.reduce((s, { standardError }) => s + 1 / (standardError ** 2 + between), 0) / k;
  const items = measured.map(({ value, standardError }): Shrunk => {
    const variance = standardError ** 2;
    const shrinkage = ((k - 3) / (k - 1)) * (variance / (variance + between));
    const doubt = (2 / (k - 3)) * shrinkage ** 2 * (typical / (1 / (variance + between))) * (value - centre) ** 2;
    const spread = variance * (1 - ((k - 1) / k) * shrinkage) + doubt;
    return { value: (1 - shrinkage) * value + shrinkage * centre, sd: Math.sqrt(spread), shrinkage };
  });
  return { items, centre, between: Math.sqrt(between) };
}

/** Probability that a shrunk value is truly above `limit`. */
export const above = ({ value, sd }: Shrunk, limit = 0): number =>
  sd > 0 ? studentBelow((value - limit) / sd, Number.POSITIVE_INFINITY) : value > limit ? 1 : 0;
