/** Mean, corrected by the mean of what is left over, so that a large common part costs no digits. NaN without values. */
export function mean(values: ArrayLike<number>): number {
  const n = values.length;
  let sum = 0;
  for (let i = 0; i < n; i++) sum += values[i]!;
  const first = sum / n;
  let rest = 0;
  for (let i = 0; i < n; i++) rest += values[i]! - first;
  return first + rest / n;
}

/**
 * Standard deviation of a sample (n - 1), by distances from the mean with the correction for its rounding.
 *
 * @returns NaN for fewer than two values or where one is NaN
 *
 * Method: corrected two-pass sum, Chan, Golub & LeVeque, Am. Stat. 37 (1983) 242.
 */
export function standardDeviation(values: ArrayLike<number>): number {
  const n = values.length;
  if (n < 2) return Number.NaN;
  const centre = mean(values);
  let squares = 0;
  let rest = 0;
  for (let i = 0; i < n; i++) {
    const distance = values[i]! - centre;
    squares += distance * distance;
    rest += distance;
  }
  return Math.sqrt((squares - (rest * rest) / n) / (n - 1));
}
