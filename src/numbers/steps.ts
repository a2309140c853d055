import { median } from './quantile.ts';

const usual = new WeakMap<Float64Array, number>();

/** Middle one of the steps between neighbours, worked out once for each array; NaN with fewer than two values. */
export function usualStep(values: Float64Array): number {
  let step = usual.get(values);
  if (step === undefined) usual.set(values, (step = median(steps(values))));
  return step;
}

/** Differences of neighbours, one fewer than the values. A plain loop: `map` with a function is ten times slower. */
export function steps(values: Float64Array): Float64Array {
  const out = new Float64Array(Math.max(0, values.length - 1));
  for (let i = 0; i < out.length; i++) out[i] = values[i + 1]! - values[i]!;
  return out;
}
