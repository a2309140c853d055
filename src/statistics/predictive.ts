import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { studentBelow } from './distributions.ts';

/** One way to see a future value: Student's t about a mean. */
export interface Component {
  readonly weight: number;
  readonly mean: number;
  readonly scale: number;
  readonly df: number;
  /** Where it is set, mean and scale are those of the logarithm of the height above it. */
  readonly logAbove?: number;
}

/** A series as a level plus multiples of columns plus a wandering of its own. */
export interface Fit {
  readonly coefficients: readonly number[];
  /** Bayesian information criterion over -2: larger is better. */
  readonly score: number;
  readonly predict: (weeks: number, row: readonly number[]) => Omit<Component, 'weight'>;
}

/**
 * Generalised least squares with what it foretells of a single further value.
 *
 * @param weeks since the first session, rising from 0
 * @param values as long as `weeks`
 * @param rows one for each value: its columns
 * @param wander variance that a random walk adds in a week, over the variance of one session
 * @returns null where the columns follow from one another or nothing is left over
 *
 * Method: Aitken's estimator; prediction as in Rasmussen & Williams, Gaussian Processes (2006), 2.7, with flat priors.
 */
export function predictive(
  weeks: readonly number[],
  values: readonly number[],
  rows: readonly (readonly number[])[],
  wander: number,
): Fit | null {
  const n = weeks.length;
  const count = rows[0]?.length ?? 0;
  const df = n - count;
  if (df < 1) return null;
  const covariance = (a: number, b: number): number => wander * Math.min(a, b);
  const { factor, logDeterminant } = scatterOf(weeks, wander);
  const x = new Matrix(rows.map((row) => [...row]));
  const y = Matrix.columnVector([...values]);
  const weighted = count > 0 ? factor.solve(x) : x;
  const normal = count > 0 ? new CholeskyDecomposition(symmetric(x.transpose().mmul(weighted))) : null;
  if (normal && !normal.isPositiveDefinite()) return null;
  const coefficients = normal ? normal.solve(weighted.transpose().mmul(y)).to1DArray() : [];
  const left = values.map((value, i) => value - dot(rows[i]!, coefficients));
  const weightedLeft = factor.solve(Matrix.columnVector(left)).to1DArray();
  const squares = Math.max(dot(left, weightedLeft), 1e-18);
  return {
    coefficients,
    score: -0.5 * (n * Math.log(squares / n) + logDeterminant + (count + 1) * Math.log(n)),
    predict(at, row) {
      const shared = weeks.map((week) => covariance(week, at));
      const carried = factor.solve(Matrix.columnVector(shared)).to1DArray();
      const rest = row.map(
        (value, k) =>
          value -
          dot(
            rows.map((r) => r[k]!),
            carried,
          ),
      );
      const own = normal ? dot(rest, normal.solve(Matrix.columnVector(rest)).to1DArray()) : 0;
      const variance = 1 + covariance(at, at) - dot(shared, carried) + own;
      return { mean: dot(row, coefficients) + dot(carried, left), scale: Math.sqrt((squares / df) * variance), df };
    },
  };
}

interface Scatter {
  readonly factor: CholeskyDecomposition;
  readonly logDeterminant: number;
}

const known = new WeakMap<readonly number[], Map<number, Scatter>>();

/** Covariance of the sessions, as its factor; the same for all curves through them. */
function scatterOf(weeks: readonly number[], wander: number): Scatter {
  let byWander = known.get(weeks);
  if (!byWander) known.set(weeks, (byWander = new Map()));
  let scatter = byWander.get(wander);
  if (!scatter) byWander.set(wander, (scatter = factored(weeks, wander)));
  return scatter;
}

function factored(weeks: readonly number[], wander: number): Scatter {
  const n = weeks.length;
  const noise = new Matrix(n, n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) noise.set(i, j, wander * Math.min(weeks[i]!, weeks[j]!) + (i === j ? 1 : 0));
  const factor = new CholeskyDecomposition(noise);
  const lower = factor.lowerTriangularMatrix;
  let logDeterminant = 0;
  for (let i = 0; i < n; i++) logDeterminant += 2 * Math.log(lower.get(i, i));
  return { factor, logDeterminant };
}

/** Rounding makes a product of the two sides differ in its last digit, which the factorisation refuses. */
function symmetric(matrix: Matrix): Matrix {
  for (let i = 0; i < matrix.rows; i++) for (let j = 0; j < i; j++) matrix.set(i, j, matrix.get(j, i));
  return matrix;
}

function dot(a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** Share of a mixture below a value. Weights need not sum to 1. */
export function mixtureBelow(parts: readonly Component[], value: number): number {
  let below = 0;
  let total = 0;
  for (const part of parts) {
    below += part.weight * belowOf(part, value);
    total += part.weight;
  }
  return below / total;
}

function belowOf({ mean, scale, df, logAbove }: Component, value: number): number {
  if (logAbove === undefined) return studentBelow((value - mean) / scale, df);
  return value > logAbove ? studentBelow((Math.log(value - logAbove) - mean) / scale, df) : 0;
}

/** Value so many scales from the mean of a part. */
const away = ({ mean, scale, logAbove }: Component, scales: number): number =>
  logAbove === undefined ? mean + scales * scale : logAbove + Math.exp(mean + scales * scale);

/** Value with the share `p` of a mixture below it. */
export function mixtureQuantile(parts: readonly Component[], p: number): number {
  let low = Math.min(...parts.map((part) => away(part, -4)));
  let high = Math.max(...parts.map((part) => away(part, 4)));
  for (let width = high - low; mixtureBelow(parts, low) > p; width *= 2) low -= width;
  for (let width = high - low; mixtureBelow(parts, high) < p; width *= 2) high += width;
  for (let i = 0; i < 50; i++) {
    const middle = (low + high) / 2;
    if (mixtureBelow(parts, middle) < p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Density of a mixture at a value. */
export function mixtureDensity(parts: readonly Component[], value: number): number {
  const h = 1e-4 * Math.min(...parts.map((part) => away(part, 0.5) - away(part, -0.5)));
  return (mixtureBelow(parts, value + h) - mixtureBelow(parts, value - h)) / (2 * h);
}
