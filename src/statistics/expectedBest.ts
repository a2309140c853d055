import { gaussLegendre } from '../numbers/quadrature.ts';
import { normalBelow } from './distributions.ts';

/**
 * How far the best of n laps lies below their mean by luck alone, in standard deviations of one lap (not positive). More
 * laps have a better best without any progress, so a best lap is shown and never counted.
 *
 * @param n laps; NaN below 1
 *
 * Example: 3 laps -0.846, 5 laps -1.163, 10 laps -1.539.
 * Method: expected least of n standard normals by quadrature (Harter, Biometrika 48 (1961) 151).
 */
export function expectedBest(n: number): number {
  if (!(n >= 1)) return Number.NaN;
  const density = (z: number): number => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
  let sum = 0;
  for (let z = -9; z < 9; z += 0.25)
    sum += gaussLegendre((x) => x * n * density(x) * normalBelow(-x) ** (n - 1), z, z + 0.25);
  return n === 1 ? 0 : sum;
}
