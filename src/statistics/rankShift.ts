import { median } from '../numbers/quantile.ts';
import { LEVEL } from './detectable.ts';
import { normalBelow, normalQuantile } from './distributions.ts';
import type { Interval } from './interval.ts';

export interface RankShift {
  /** Median of all differences after - before. */
  readonly shift: number;
  readonly interval: Interval;
  /** Two-sided. */
  readonly p: number;
  /** The smallest p that samples of these sizes can have. */
  readonly leastP: number;
}

/**
 * Shift between two lists of laps by ranks: exact for few laps, and one spoilt lap does not move it far.
 *
 * @param before,after at least one value each, no NaN
 *
 * Source: Mann & Whitney, Ann. Math. Stat. 18 (1947) 50; shift and interval of Hodges & Lehmann, Ann. Math. Stat. 34
 * (1963) 598. With equal values the normal approximation with corrections for ties and continuity.
 */
export function rankShift(before: readonly number[], after: readonly number[], level = LEVEL): RankShift {
  const [m, n] = [before.length, after.length];
  const differences = after.flatMap((b) => before.map((a) => b - a)).sort((x, y) => x - y);
  const larger = after.reduce((sum, b) => sum + before.reduce((s, a) => s + (b > a ? 1 : b === a ? 0.5 : 0), 0), 0);
  const all = [...before, ...after].sort((x, y) => x - y);
  const tied = all.some((value, i) => value === all[i + 1]);
  const shares = orders(m, n);
  const leastP = Math.min(1, 2 * shares[0]!);
  const shift = median(differences);
  if (tied || m + n > 80) {
    const sd = tiedDeviation(all, m, n);
    const z = (Math.abs(larger - (m * n) / 2) - 0.5) / sd;
    const place = Math.max(Math.ceil((m * n) / 2 - normalQuantile((1 + level) / 2) * sd - 0.5) - 1, 0);
    const interval = { low: differences[place]!, high: differences[m * n - 1 - place]!, level };
    return { shift, interval, p: sd > 0 ? Math.min(1, 2 * normalBelow(-z)) : 1, leastP };
  }
  const tail = (most: number): number => shares.slice(0, most + 1).reduce((s, v) => s + v, 0);
  let drop = 0;
  while (2 * tail(drop) <= 1 - level) drop++;
  // At least the two ends stay, whatever level they reach.
  const place = Math.max(drop - 1, 0);
  return {
    shift,
    interval: { low: differences[place]!, high: differences[m * n - 1 - place]!, level: 1 - 2 * tail(place) },
    p: Math.min(1, 2 * tail(Math.min(larger, m * n - larger))),
    leastP,
  };
}

/** Share of orders of m and n different values in which k of the m n pairs are turned round, k = 0 to m n. */
function orders(m: number, n: number): Float64Array {
  // Coefficients of the Gaussian binomial: one factor (1 - q^(n+i)) / (1 - q^i) after the other.
  const shares = new Float64Array(m * n + 1);
  shares[0] = 1;
  for (let i = 1; i <= m; i++) {
    for (let k = m * n; k >= n + i; k--) shares[k]! -= shares[k - n - i]!;
    for (let k = i; k <= m * n; k++) shares[k]! += shares[k - i]!;
    // Kept as shares, so that large samples do not overflow.
    for (let k = 0; k <= m * n; k++) shares[k]! *= i / (n + i);
  }
  return shares;
}

function tiedDeviation(sorted: readonly number[], m: number, n: number): number {
  const total = m + n;
  let ties = 0;
  for (let i = 0; i < total; ) {
    let j = i;
    while (j < total && sorted[j] === sorted[i]) j++;
    ties += (j - i) ** 3 - (j - i);
    i = j;
  }
  return Math.sqrt(((m * n) / 12) * (total + 1 - ties / (total * (total - 1))));
}
