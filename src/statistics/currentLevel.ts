import type { Measured } from './shrink.ts';

/** Losses of one corner and cause, one for each session; null where it was not measured. */
export type History = readonly (number | null)[];

/** Variance that a loss may gain from session to session, over the variance of one session's median. */
const DRIFTS = [0, 0.03, 0.1, 0.3, 1];
/** More only where laps tell how well a session is known: without them a drift and a spoilt session look alike. */
const LARGE_DRIFTS = [...DRIFTS, 3, 10, 30, 100];
/** How much more a session scatters than its laps let one expect: days differ. As a factor on the variance. */
const BY_LAPS = [1, 2, 4, 8, 16, 32];
/** The same where nothing is known from laps and differences between sessions, drift included, stand for them. */
const BY_SESSIONS = [1, 0.5, 0.25, 0.12, 0.06, 0.03, 0.01, 0.003];
/** Rounds in which the shares of the drifts settle. */
const ROUNDS = 20;
/** Sessions' worth of the common variance that each loss starts from where it has none of its own. */
const BORROWED = 4;

interface Filtered {
  readonly value: number;
  readonly variance: number;
  readonly likelihood: number;
}

/**
 * Where each loss stands after the last session: sessions scatter, and losses drift, some hardly and some by a lot. How
 * many drift how much, and how much more than their laps the sessions scatter, is learnt from all histories together.
 *
 * @param histories equally long, sessions in order
 * @param errors standard error of each median from the laps of its session, as long as the histories; where there are
 * none, the differences between sessions stand for them
 * @returns null for a loss that was never measured; with fewer than two sessions of every loss and no errors the standard
 * error is NaN
 *
 * Method: local level model by the Kalman filter with a diffuse start (Durbin & Koopman, Time Series Analysis by State
 * Space Methods, 2nd ed. (2012), ch. 2), mixed over drifts with shares by expectation and maximisation.
 */
export function currentLevel(histories: readonly History[], errors?: readonly History[]): (Measured | null)[] {
  const variances = errors
    ? errors.map((list) => list.map((e) => (e === null ? null : e ** 2)))
    : fromSessions(histories);
  let best: { likelihood: number; mixed: (Measured | null)[] } | null = null;
  const drifts = errors ? LARGE_DRIFTS : DRIFTS;
  for (const factor of errors ? BY_LAPS : BY_SESSIONS) {
    const found = mixture(
      histories.map((history, i) => drifts.map((drift) => filter(history, variances[i]!, factor, drift))),
    );
    if (!best || found.likelihood > best.likelihood) best = found;
  }
  return best!.mixed;
}

function mixture(filtered: readonly (readonly (Filtered | null)[])[]): {
  likelihood: number;
  mixed: (Measured | null)[];
} {
  const count = filtered[0]?.length ?? 0;
  let shares = Array.from({ length: count }, () => 1 / count);
  const known = filtered.flatMap((list) => (list[0] ? [list as readonly Filtered[]] : []));
  const weigh = (list: readonly Filtered[]): { weights: number[]; likelihood: number } => {
    const top = Math.max(...list.map(({ likelihood }) => likelihood));
    const raw = list.map(({ likelihood }, d) => shares[d]! * Math.exp(likelihood - top));
    const total = raw.reduce((s, v) => s + v, 0);
    return { weights: raw.map((v) => v / total), likelihood: top + Math.log(total) };
  };
  for (let round = 0; round < ROUNDS; round++) {
    const all = known.map((list) => weigh(list).weights);
    // One loss more, spread over all drifts: none is ruled out by a few corners.
    shares = shares.map((_, d) => (1 / count + all.reduce((s, w) => s + w[d]!, 0)) / (all.length + 1));
  }
  let likelihood = 0;
  const mixed = filtered.map((list): Measured | null => {
    if (!list[0]) return null;
    const each = list as readonly Filtered[];
    const found = weigh(each);
    likelihood += found.likelihood;
    const value = each.reduce((s, f, d) => s + found.weights[d]! * f.value, 0);
    const variance = each.reduce((s, f, d) => s + found.weights[d]! * (f.variance + (f.value - value) ** 2), 0);
    return { value, standardError: Math.sqrt(variance) };
  });
  return { likelihood, mixed };
}

/** Half the squared differences from session to session, drawn towards those of all losses. */
function fromSessions(histories: readonly History[]): History[] {
  const squares = histories.map((history) => {
    const seen = history.filter((v): v is number => v !== null);
    return seen.slice(1).map((v, i) => (v - seen[i]!) ** 2 / 2);
  });
  const all = squares.flat();
  const pooled = all.reduce((s, v) => s + v, 0) / all.length;
  return histories.map((history, i) => {
    const own = squares[i]!;
    const variance = (own.reduce((s, v) => s + v, 0) + BORROWED * pooled) / (own.length + BORROWED);
    return history.map(() => variance);
  });
}

function filter(history: History, variances: History, factor: number, drift: number): Filtered | null {
  const first = history.findIndex((measured) => measured !== null);
  if (first < 0) return null;
  const known = variances.filter((v): v is number => v !== null);
  // What a session of this loss scatters by on the whole: the drift is in this unit.
  const typical = (factor * known.reduce((s, v) => s + v, 0)) / known.length;
  let value = history[first]!;
  let variance = factor * (variances[first] ?? typical / factor);
  let likelihood = 0;
  for (let i = first + 1; i < history.length; i++) {
    variance += drift * typical;
    const measured = history[i];
    if (measured === null || measured === undefined) continue;
    const expected = variance + factor * (variances[i] ?? typical / factor);
    const error = measured - value;
    likelihood -= 0.5 * (Math.log(expected) + error ** 2 / expected);
    value += (variance / expected) * error;
    variance -= variance ** 2 / expected;
  }
  return { value, variance, likelihood };
}
