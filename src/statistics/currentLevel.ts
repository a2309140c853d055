import type { Measured } from './shrink.ts';

/** Losses of one corner and cause, one for each session; null where it was not measured. */
export type History = readonly (number | null)[];

/** Variance that the true loss gains from session to session, over the variance of one session's median. */
const DRIFTS = [0, 0.03, 0.1, 0.3, 1];

interface Filtered {
  readonly value: number;
  /** Over the variance of one session. */
  readonly variance: number;
  /** Squared one-step errors over their variances, and the logs of these. */
  readonly squares: number;
  readonly logs: number;
  readonly steps: number;
}

/**
 * Where each loss stands after the last session: sessions scatter, losses drift, and how much of either is learnt from all
 * histories together.
 *
 * @param histories equally long, sessions in order
 * @returns null for a loss that was never measured; with fewer than two sessions of every loss the standard error is NaN
 *
 * Method: local level model by the Kalman filter with a diffuse start, drift by maximum likelihood over a few values
 * (Durbin & Koopman, Time Series Analysis by State Space Methods, 2nd ed. (2012), ch. 2).
 */
export function currentLevel(histories: readonly History[]): (Measured | null)[] {
  let best: { likelihood: number; filtered: (Filtered | null)[]; variances: number[] } | null = null;
  for (const drift of DRIFTS) {
    const filtered = histories.map((history) => filter(history, drift));
    const steps = filtered.reduce((s, f) => s + (f?.steps ?? 0), 0);
    const pooled = steps > 0 ? filtered.reduce((s, f) => s + (f?.squares ?? 0), 0) / steps : Number.NaN;
    // A loss that scatters more than the others has an error of its own, drawn towards theirs.
    const variances = filtered.map((f) => (f ? (f.squares + BORROWED * pooled) / (f.steps + BORROWED) : Number.NaN));
    const logs = filtered.reduce((s, f, i) => s + (f ? f.logs + f.steps * Math.log(variances[i]!) : 0), 0);
    const fit = filtered.reduce((s, f, i) => s + (f ? f.squares / variances[i]! : 0), 0);
    const likelihood = -0.5 * (logs + fit);
    if (!best || likelihood > best.likelihood) best = { likelihood, filtered, variances };
  }
  const { filtered, variances } = best!;
  return filtered.map((f, i) => (f ? { value: f.value, standardError: Math.sqrt(f.variance * variances[i]!) } : null));
}

/** Sessions' worth of the common variance that each loss starts from. */
const BORROWED = 4;

function filter(history: History, drift: number): Filtered | null {
  const first = history.findIndex((measured) => measured !== null);
  if (first < 0) return null;
  let value = history[first]!;
  let variance = 1;
  let [squares, logs, steps] = [0, 0, 0];
  for (const measured of history.slice(first + 1)) {
    variance += drift;
    if (measured === null) continue;
    const expected = variance + 1;
    const error = measured - value;
    squares += error ** 2 / expected;
    logs += Math.log(expected);
    steps++;
    value += (variance / expected) * error;
    variance -= variance ** 2 / expected;
  }
  return { value, variance, squares, logs, steps };
}
