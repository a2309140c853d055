/** Share of false findings among the findings that is accepted where many corners and causes are looked at at once. */
export const FALSE_SHARE = 0.1;

/**
 * Adjusted p values of many tests at once: those at most `q` are findings of which, on average, a share of at most `q` is
 * false. Holds for independent and for positively dependent tests, as corners of one lap are.
 *
 * @param p in any order; a NaN (no test was possible) stays NaN and does not count
 * @returns as long as `p`
 *
 * Method: Benjamini & Hochberg, J. R. Stat. Soc. B 57 (1995) 289.
 */
export function adjusted(p: readonly number[]): number[] {
  const order = p.flatMap((value, i) => (Number.isNaN(value) ? [] : [i])).sort((a, b) => p[b]! - p[a]!);
  const out = p.map(() => Number.NaN);
  let least = 1;
  order.forEach((i, k) => {
    least = Math.min(least, (p[i]! * order.length) / (order.length - k));
    out[i] = least;
  });
  return out;
}
