import { Matrix, QrDecomposition } from 'ml-matrix';
import { leastSquares } from './leastSquares.ts';

export interface CurveFit {
  readonly parameters: readonly number[];
  /** NaN where the fit did not settle. */
  readonly standardErrors: readonly number[];
  readonly squares: number;
  readonly residualSd: number;
  /** False where it was given up: the parameters are then the best so far and must not be reported. */
  readonly converged: boolean;
}

const MOST_STEPS = 400;

/**
 * Nonlinear least squares from a starting point.
 *
 * @param model value at `x` for parameters
 * @param x,y of equal length, more than parameters
 * @param start one number for each parameter
 *
 * Method: Levenberg–Marquardt with the scaling of Moré, in Numerical Analysis, Lect. Notes Math. 630 (1978) 105; slopes by
 * central differences.
 */
export function curveFit(
  model: (parameters: readonly number[], x: number) => number,
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  start: readonly number[],
): CurveFit {
  const n = y.length;
  const residuals = (p: readonly number[]): number[] => Array.from({ length: n }, (_, i) => y[i]! - model(p, x[i]!));
  const sum = (list: readonly number[]): number => list.reduce((s, v) => s + v * v, 0);
  let parameters = [...start];
  let left = residuals(parameters);
  let squares = sum(left);
  let damping = 1e-3;
  let scales = parameters.map(() => 0);
  let settled = 0;
  for (let step = 0; step < MOST_STEPS && settled < 3; step++) {
    const slopes = jacobian(model, x, n, parameters);
    scales = scales.map((scale, k) => Math.max(scale, Math.hypot(...slopes[k]!)) || 1);
    let moved = false;
    while (damping < 1e16) {
      const change = dampedStep(slopes, left, scales, damping);
      const tried = parameters.map((p, k) => p + change[k]!);
      const triedLeft = residuals(tried);
      const triedSquares = sum(triedLeft);
      if (triedSquares <= squares) {
        const small = change.every((c, k) => Math.abs(c) <= 1e-9 * (Math.abs(parameters[k]!) + 1e-12));
        settled = small || squares - triedSquares <= 1e-15 * squares ? settled + 1 : 0;
        [parameters, left, squares] = [tried, triedLeft, triedSquares];
        damping = Math.max(damping / 8, 1e-14);
        moved = true;
        break;
      }
      damping *= 4;
    }
    // No step of any length helps: at the bottom, or at a wall of the model.
    if (!moved) settled = 3;
  }
  const slopes = jacobian(model, x, n, parameters);
  // The linear fit to what is left is zero at the bottom; its standard errors are those of the parameters there.
  const linear = leastSquares(slopes, left);
  const steep = linear?.coefficients.some((c, k) => Math.abs(c) > 1e-3 * linear.standardErrors[k]!) ?? true;
  const converged = settled >= 3 && !(steep && squares > 1e-20);
  return {
    parameters,
    standardErrors: converged && linear ? linear.standardErrors : parameters.map(() => Number.NaN),
    squares,
    residualSd: Math.sqrt(squares / (n - parameters.length)),
    converged,
  };
}

function jacobian(
  model: (parameters: readonly number[], x: number) => number,
  x: ArrayLike<number>,
  n: number,
  parameters: readonly number[],
): number[][] {
  return parameters.map((p, k) => {
    const h = Math.max(Math.abs(p), 1e-8) * 6e-6;
    const [up, down] = [p + h, p - h].map((value) => parameters.with(k, value));
    return Array.from({ length: n }, (_, i) => (model(up!, x[i]!) - model(down!, x[i]!)) / (2 * h));
  });
}

/** Least squares of the residuals on the slopes, with rows that hold each parameter back. */
function dampedStep(
  slopes: readonly (readonly number[])[],
  left: readonly number[],
  scales: readonly number[],
  damping: number,
): number[] {
  const [n, count] = [left.length, slopes.length];
  const system = Matrix.zeros(n + count, count);
  const right = Matrix.zeros(n + count, 1);
  for (let k = 0; k < count; k++) {
    for (let i = 0; i < n; i++) system.set(i, k, slopes[k]![i]! / scales[k]!);
    system.set(n + k, k, Math.sqrt(damping));
  }
  left.forEach((value, i) => {
    right.set(i, 0, value);
  });
  if (!system.to1DArray().every(Number.isFinite)) return scales.map(() => Number.NaN);
  return new QrDecomposition(system)
    .solve(right)
    .to1DArray()
    .map((value, k) => value / scales[k]!);
}
