import { savgolWeights } from '../numbers/savgol.ts';

/** Below this reach a parabola goes through every value. */
const LEAST_REACH = 2;
const weights: Float64Array[] = [];

/**
 * Values with the scatter of single cells taken out: of a parabola through `reach` neighbours on each side, fewer
 * towards the ends, so that bends and slopes stay. One noisy cell where drive begins would otherwise move the whole
 * exit up or down, as much against the corner's account.
 */
export function calmed(values: Float64Array, reach: number): Float64Array {
  const n = values.length;
  const most = Math.round(reach);
  return values.map((value, i) => {
    const own = Math.min(most, i, n - 1 - i);
    if (own < LEAST_REACH) return value;
    const w = (weights[own] ??= savgolWeights(2 * own + 1, 2, 0));
    let sum = 0;
    for (let k = 0; k < w.length; k++) sum += w[k]! * values[i - own + k]!;
    return sum;
  });
}
