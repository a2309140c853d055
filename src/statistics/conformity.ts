import { studentBelow, studentQuantile } from './distributions.ts';

/** A measured value with its standard uncertainty; `df` infinite where that is known for certain. */
export interface MeasuredValue {
  readonly value: number;
  readonly standardError: number;
  readonly df: number;
}

/**
 * Four answers: a pass whose risk is the one that was agreed, a value inside the limit and not far enough inside, one
 * outside and not far enough outside to be sure of that, and a miss.
 */
type Verdict = 'met' | 'met, not beyond doubt' | 'missed, not beyond doubt' | 'missed';

export interface Conformity {
  readonly verdict: Verdict;
  /** Chance that the true value is at most the limit, 0 to 1. */
  readonly chance: number;
  /** Width of the guard band, in the unit of the values. */
  readonly guard: number;
  /** What a value must not exceed for `met`: the limit less the guard band. */
  readonly acceptance: number;
}

/**
 * Judges a measured value against an upper limit by guarded acceptance.
 *
 * @param limit the value may not be above it
 * @param risk greatest chance of a false pass that is taken, above 0 and at most 0.5 (there is no guard band then)
 * @returns at a standard error of zero the guard band is empty and the chance 0 or 1
 *
 * Example: 0.5 s under the limit with a standard uncertainty of 0.2 s, known for certain, has a chance of 99.4 %; at a risk of
 * 5 % the guard band is 0.33 s.
 * Source: JCGM 106:2012, 7.3 (conformance probability of a one-sided interval) and 8.3 (guarded acceptance), with Student's
 * t in place of the normal distribution where the uncertainty comes from few laps (JCGM 101:2008, 6.4.9).
 */
export function conformity({ value, standardError, df }: MeasuredValue, limit: number, risk: number): Conformity {
  const guard = studentQuantile(1 - risk, df) * standardError;
  const acceptance = limit - guard;
  const below = value <= limit;
  const chance = standardError > 0 ? studentBelow((limit - value) / standardError, df) : below ? 1 : 0;
  const verdict =
    value <= acceptance
      ? 'met'
      : below
        ? 'met, not beyond doubt'
        : value <= limit + guard
          ? 'missed, not beyond doubt'
          : 'missed';
  return { verdict, chance, guard, acceptance };
}
