import type { Course } from './course.ts';

/**
 * Lateral offsets (m, on the course's grid) of the line of least squared curvature that stays within `reachM` of the
 * centre line; change of curvature counts too, over a length of `gentleM`, so that nobody has to flick. Unknowns are coefficients of a periodic cubic B-spline, so the line's curvature is continuous;
 * the bounds enter as logarithmic barriers that are tightened step by step (Newton's method on a banded system).
 */
export function racingLine(course: Course, reachM: number, spacingM = 3, gentleM = 14): Float64Array {
  const n = Math.round(course.lengthM / spacingM);
  const h = course.lengthM / n;
  const samples = 3 * n;
  // three samples a span: value and second derivative of the four splines that live there
  const rows = Array.from({ length: samples }, (_, j) => {
    const span = Math.floor(j / 3);
    const u = (j % 3) / 3;
    const value = [
      (1 - u) ** 3 / 6,
      (3 * u ** 3 - 6 * u * u + 4) / 6,
      (-3 * u ** 3 + 3 * u * u + 3 * u + 1) / 6,
      u ** 3 / 6,
    ];
    const second = [1 - u, 3 * u - 2, -3 * u + 1, u].map((d) => d / (h * h));
    const at = Math.round((j * course.count) / samples);
    const curvature = course.curvature[at % course.count]!;
    const reach = Math.round(spacingM / 2 / course.stepM);
    const ahead = course.curvature[(at + reach) % course.count]!;
    const behind = course.curvature[(at + course.count - reach) % course.count]!;
    return {
      at: [0, 1, 2, 3].map((k) => (span + k + n - 1) % n),
      value,
      bent: second.map((d, k) => d + curvature * curvature * value[k]!),
      curvature,
      flick: [-1, 3, -3, 1].map((d) => (gentleM * d) / h ** 3),
      change: (gentleM * (ahead - behind)) / (2 * reach * course.stepM),
    };
  });
  let c = new Float64Array(n);
  for (let barrier = 1e-4; barrier > 2e-8; barrier /= 4)
    for (let pass = 0; pass < 3; pass++) {
      // lower triangle; row i from column firstOf(i) on
      const hessian = Array.from({ length: n }, (_, i) => new Float64Array(i + 1 - firstOf(i, n)));
      const slope = new Float64Array(n);
      for (const row of rows) {
        let offset = 0;
        let bent = row.curvature;
        let flick = row.change;
        for (let k = 0; k < 4; k++) {
          offset += row.value[k]! * c[row.at[k]!]!;
          bent += row.bent[k]! * c[row.at[k]!]!;
          flick += row.flick[k]! * c[row.at[k]!]!;
        }
        const [toLeft, toRight] = [1 / (reachM - offset), 1 / (reachM + offset)];
        const push = barrier * (toLeft - toRight);
        const wall = barrier * (toLeft * toLeft + toRight * toRight);
        for (let k = 0; k < 4; k++) {
          slope[row.at[k]!]! += bent * row.bent[k]! + flick * row.flick[k]! + push * row.value[k]!;
          for (let m = 0; m < 4; m++)
            if (row.at[m]! <= row.at[k]!)
              hessian[row.at[k]!]![row.at[m]! - firstOf(row.at[k]!, n)]! +=
                row.bent[k]! * row.bent[m]! + row.flick[k]! * row.flick[m]! + wall * row.value[k]! * row.value[m]!;
        }
      }
      const step = solve(hessian, slope);
      const share = stepShare(rows, c, step, reachM);
      c = c.map((value, i) => value - step[i]! * share);
    }
  return Float64Array.from({ length: course.count }, (_, i) => {
    const t = (i * n) / course.count;
    const span = Math.floor(t);
    const u = t - span;
    const b = [
      (1 - u) ** 3 / 6,
      (3 * u ** 3 - 6 * u * u + 4) / 6,
      (-3 * u ** 3 + 3 * u * u + 3 * u + 1) / 6,
      u ** 3 / 6,
    ];
    return b.reduce((sum, w, k) => sum + w * c[(span + k + n - 1) % n]!, 0);
  });
}

/** Largest share of a Newton step, up to 1, that keeps every sample inside the bounds. */
function stepShare(
  rows: readonly { readonly at: readonly number[]; readonly value: readonly number[] }[],
  c: Float64Array,
  step: Float64Array,
  reachM: number,
): number {
  let share = 1;
  for (const row of rows) {
    let [offset, move] = [0, 0];
    row.at.forEach((index, k) => {
      offset += row.value[k]! * c[index]!;
      move -= row.value[k]! * step[index]!;
    });
    const room = move > 0 ? reachM - offset : reachM + offset;
    if (move !== 0) share = Math.min(share, (0.9 * room) / Math.abs(move));
  }
  return share;
}

/** First column that can differ from zero: splines reach three to either side, the last three round the end of the lap. */
const firstOf = (i: number, n: number): number => (i >= n - 3 ? 0 : Math.max(0, i - 3));

/** Solves a symmetric positive definite system, stored as ragged rows, by Cholesky's method in place. */
function solve(matrix: Float64Array[], right: Float64Array): Float64Array {
  const n = right.length;
  for (let i = 0; i < n; i++) {
    const row = matrix[i]!;
    const fi = firstOf(i, n);
    for (let j = fi; j <= i; j++) {
      const upper = matrix[j]!;
      const fj = firstOf(j, n);
      let value = row[j - fi]!;
      for (let k = Math.max(fi, fj); k < j; k++) value -= row[k - fi]! * upper[k - fj]!;
      row[j - fi] = j === i ? Math.sqrt(value) : value / upper[j - fj]!;
    }
  }
  const x = new Float64Array(right);
  for (let i = 0; i < n; i++) {
    const fi = firstOf(i, n);
    for (let k = fi; k < i; k++) x[i]! -= matrix[i]![k - fi]! * x[k]!;
    x[i]! /= matrix[i]![i - fi]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    const fi = firstOf(i, n);
    x[i]! /= matrix[i]![i - fi]!;
    for (let k = fi; k < i; k++) x[k]! -= matrix[i]![k - fi]! * x[i]!;
  }
  return x;
}
