import { Matrix, QrDecomposition } from 'ml-matrix';
import { studentQuantile } from './distributions.ts';
import type { Interval } from './interval.ts';

export interface LinearFit {
  readonly coefficients: readonly number[];
  readonly standardErrors: readonly number[];
  /** Covariance of the coefficients. */
  readonly covariance: readonly (readonly number[])[];
  readonly residualSd: number;
  /** Values less coefficients. */
  readonly df: number;
  /** Of the values about their mean; NaN where they are all equal. */
  readonly rSquared: number;
}

/**
 * Linear least squares.
 *
 * @param columns one array for each coefficient, each as long as `y`; a column of ones is the constant
 * @returns null for no more values than columns and where one column follows from the others
 *
 * Method: Householder QR (`ml-matrix`) after scaling the columns, which keeps nearly collinear columns apart.
 */
export function leastSquares(columns: readonly ArrayLike<number>[], y: ArrayLike<number>): LinearFit | null {
  const [n, count] = [y.length, columns.length];
  if (n <= count) return null;
  const scales = columns.map((column) => Math.hypot(...Array.from(column)) || 1);
  const x = new Matrix(n, count);
  for (let i = 0; i < n; i++) for (let k = 0; k < count; k++) x.set(i, k, columns[k]![i]! / scales[k]!);
  const qr = new QrDecomposition(x);
  const r = qr.upperTriangularMatrix;
  for (let k = 0; k < count; k++) if (Math.abs(r.get(k, k)) < 1e-13) return null;
  const scaled = qr.solve(Matrix.columnVector(Array.from(y))).to1DArray();
  const coefficients = scaled.map((value, k) => value / scales[k]!);
  let squares = 0;
  let total = 0;
  const centre = Array.prototype.reduce.call<ArrayLike<number>, [(s: number, v: number) => number, number], number>(
    y,
    (s, v) => s + v / n,
    0,
  );
  for (let i = 0; i < n; i++) {
    const fitted = columns.reduce((sum, column, k) => sum + column[i]! * coefficients[k]!, 0);
    squares += (y[i]! - fitted) ** 2;
    total += (y[i]! - centre) ** 2;
  }
  const variance = squares / (n - count);
  const inverse = upperInverse(r);
  const covariance = coefficients.map((_, j) =>
    coefficients.map((__, k) => {
      let sum = 0;
      for (let l = Math.max(j, k); l < count; l++) sum += inverse.get(j, l) * inverse.get(k, l);
      return (variance * sum) / (scales[j]! * scales[k]!);
    }),
  );
  return {
    coefficients,
    standardErrors: covariance.map((row, k) => Math.sqrt(row[k]!)),
    covariance,
    residualSd: Math.sqrt(variance),
    df: n - count,
    rSquared: total > 0 ? 1 - squares / total : Number.NaN,
  };
}

function upperInverse(r: Matrix): Matrix {
  const count = r.columns;
  const out = Matrix.zeros(count, count);
  for (let k = 0; k < count; k++)
    for (let j = k; j >= 0; j--) {
      let sum = j === k ? 1 : 0;
      for (let l = j + 1; l <= k; l++) sum -= r.get(j, l) * out.get(l, k);
      out.set(j, k, sum / r.get(j, j));
    }
  return out;
}

export interface Prediction {
  readonly fit: number;
  readonly standardError: number;
  /** Where the line is. */
  readonly confidence: Interval;
  /** Where one further value will be. */
  readonly prediction: Interval;
}

/** The fit at a place, with the interval of the line and the wider one of a single further value. */
export function predictAt(fit: LinearFit, row: readonly number[], level: number): Prediction {
  const value = row.reduce((sum, x, k) => sum + x * fit.coefficients[k]!, 0);
  const variance = row.reduce((sum, x, j) => sum + row.reduce((s, z, k) => s + x * z * fit.covariance[j]![k]!, 0), 0);
  const t = studentQuantile((1 + level) / 2, fit.df);
  const around = (sd: number): Interval => ({ low: value - t * sd, high: value + t * sd, level });
  return {
    fit: value,
    standardError: Math.sqrt(variance),
    confidence: around(Math.sqrt(variance)),
    prediction: around(Math.sqrt(variance + fit.residualSd ** 2)),
  };
}
