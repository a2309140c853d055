import { mean } from '../numbers/moments.ts';

/**
 * Means of quantities that were read together, with the covariance of those means.
 *
 * @param readings one array for each quantity, equally long, at least two readings
 *
 * Source: JCGM 100:2008 (GUM), 4.2 and 5.2.3.
 */
export function standardErrors(readings: readonly (readonly number[])[]): { means: number[]; covariance: number[][] } {
  const means = readings.map((list) => mean(list));
  const n = readings[0]!.length;
  const covariance = readings.map((a, j) =>
    readings.map((b, k) => a.reduce((s, v, i) => s + (v - means[j]!) * (b[i]! - means[k]!), 0) / (n * (n - 1))),
  );
  return { means, covariance };
}

/**
 * Value and standard uncertainty of a function of uncertain inputs that may be correlated.
 *
 * @param covariance of the inputs
 *
 * Source: law of propagation, JCGM 100:2008 (GUM), 5.2.2; slopes by central differences over a thousandth of each
 * uncertainty.
 */
export function propagated(
  model: (inputs: readonly number[]) => number,
  inputs: readonly number[],
  covariance: readonly (readonly number[])[],
): { value: number; sigma: number } {
  const slopes = inputs.map((input, k) => {
    const h = 1e-3 * Math.sqrt(covariance[k]![k]!);
    return h > 0 ? (model(inputs.with(k, input + h)) - model(inputs.with(k, input - h))) / (2 * h) : 0;
  });
  const variance = slopes.reduce((s, a, j) => s + slopes.reduce((t, b, k) => t + a * b * covariance[j]![k]!, 0), 0);
  return { value: model(inputs), sigma: Math.sqrt(Math.max(0, variance)) };
}
