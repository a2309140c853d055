/** Share of false findings among the findings that is accepted where many corners and causes are looked at at once. */
export const FALSE_SHARE = 0.1;

/**
 * Adjusted p values of many tests at once: those at most `q` are findings of which, on average, a share of at most `q` is
 * false. Holds for independent and for positively dependent tests, as corners of one lap are.
 *
 * @param p in any order; a NaN (no test was possible) stays NaN and does not count
 * @param weights above 0, for tests that shall have more or less of the chance to be a finding; all alike by default.
 * Only their ratios count
 * @returns as long as `p`
 *
 * Method: Benjamini & Hochberg, J. R. Stat. Soc. B 57 (1995) 289; with weights, Genovese, Roeder & Wasserman, Biometrika 93
 * (2006) 509.
 */
export function adjusted(p: readonly number[], weights: readonly number[] = p.map(() => 1)): number[] {
  const tested = p.flatMap((value, i) => (Number.isNaN(value) ? [] : [i]));
  const meanWeight = tested.reduce((sum, i) => sum + weights[i]!, 0) / tested.length;
  const weighed = p.map((value, i) => (value * meanWeight) / weights[i]!);
  const order = tested.sort((a, b) => weighed[b]! - weighed[a]!);
  const out = p.map(() => Number.NaN);
  let least = 1;
  order.forEach((i, k) => {
    least = Math.min(least, (weighed[i]! * order.length) / (order.length - k));
    out[i] = least;
  });
  return out;
}
