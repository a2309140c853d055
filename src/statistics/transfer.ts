import { mean, standardDeviation } from '../numbers/moments.ts';
import { median } from '../numbers/quantile.ts';

/** A change that was tried in simulation and then on the track: reductions of a loss, s, positive better. */
export interface Arrival {
  readonly simulatedS: number;
  readonly trackS: number;
}

export interface Transfer {
  readonly changes: number;
  /** Claimed gains of which anything arrived. */
  readonly arrived: number;
  /** Median over the changes of what arrived of each claimed gain. */
  readonly medianShare: number;
  /** Share of all claimed seconds that arrived, with its standard deviation; for `whatNext`. */
  readonly share: number;
  readonly sd: number;
}

const FEWEST = 3;

/**
 * What share of a gain seen in simulation arrived on the track.
 *
 * @returns null for fewer than three claimed gains: not known
 *
 * Method: ratio of sums with its jackknife deviation (Quenouille, Biometrika 43 (1956) 353).
 */
export function transfer(arrivals: readonly Arrival[]): Transfer | null {
  const claimed = arrivals.filter(({ simulatedS }) => simulatedS > 0);
  const n = claimed.length;
  if (n < FEWEST) return null;
  const ratio = (list: readonly Arrival[]): number =>
    list.reduce((s, { trackS }) => s + trackS, 0) / list.reduce((s, { simulatedS }) => s + simulatedS, 0);
  const without = claimed.map((_, i) => ratio(claimed.toSpliced(i, 1)));
  const sd = ((n - 1) / Math.sqrt(n)) * standardDeviation(without);
  return {
    changes: n,
    arrived: claimed.filter(({ trackS }) => trackS > 0).length,
    medianShare: median(claimed.map(({ simulatedS, trackS }) => trackS / simulatedS)),
    share: n * ratio(claimed) - (n - 1) * mean(without),
    sd,
  };
}
