/**
 * Rounds a list so that what is shown adds up: the rounded values sum to the rounded sum. Each value goes to the
 * rounding step below or above it, the largest remainders upwards (method of largest remainders), ties to the earlier.
 *
 * @param values cells in any unit; not empty of numbers, no NaN
 * @param digits digits after the point that will be shown
 * @param total what the values add up to, where it is known apart from them; their plain sum otherwise
 * @returns values on the grid of 10^-digits in the order given; each within one step of its input
 * @example rounded([0.333, 0.333, 0.334], 2) // [0.33, 0.33, 0.34], which add up to 1.00
 */
export function rounded(
  values: readonly number[],
  digits: number,
  total = values.reduce((sum, value) => sum + value, 0),
): number[] {
  const scale = 10 ** digits;
  const scaled = values.map((value) => value * scale);
  const floors = scaled.map(Math.floor);
  const up = Number((total * scale).toFixed(0)) - floors.reduce((sum, value) => sum + value, 0);
  const order = scaled
    .map((value, index) => ({ index, rest: value - Math.floor(value) }))
    .sort((a, b) => b.rest - a.rest || a.index - b.index);
  for (const { index } of order.slice(0, Math.max(0, up))) floors[index] = floors[index]! + 1;
  return floors.map((value) => value / scale);
}
