/** Half width of the band. */
const BAND = 3;

export interface CyclicBand {
  /** Replaces a right-hand side (n,) by the solution. */
  solve(right: Float64Array): void;
  /** Those entries of the inverse that lie in the band, in the form of the matrix. */
  inverse(): Float64Array[];
}

/**
 * Takes apart a symmetric positive definite matrix that is banded around a ring: `bands[d][i]` is the entry in row i and
 * column i + d (taken around the ring), d = 0 to 3.
 *
 * @param bands four arrays of one length n >= 8; left as they are
 * @throws RangeError where the matrix is not positive definite
 *
 * Method: the last three unknowns are set apart; the rest is an ordinary band, taken apart as L D Lᵀ, and a system of
 * three equations joins the two. Inverse in the band: Takahashi, Fagan & Chin (1973), by Hutchinson & de Hoog,
 * Numer. Math. 47 (1985) 99.
 */
export function cyclicBand(bands: readonly Float64Array[]): CyclicBand {
  const n = bands[0]!.length;
  const m = n - BAND;
  if (m < BAND + 2) throw new RangeError(`a ring of ${n} unknowns is too small`);
  // Row i of the lower triangle: lower[d][i] is the entry in column i - d.
  const lower = bands.map(() => new Float64Array(m));
  const pivots = new Float64Array(m);
  for (let i = 0; i < m; i++) {
    let pivot = bands[0]![i]!;
    for (let d = Math.min(BAND, i); d >= 1; d--) {
      const j = i - d;
      let entry = bands[d]![j]!;
      for (let k = Math.max(0, i - BAND); k < j; k++) {
        entry -= lower[i - k]![i]! * lower[j - k]![j]! * pivots[k]!;
      }
      lower[d]![i] = entry / pivots[j]!;
    }
    for (let d = 1; d <= Math.min(BAND, i); d++) pivot -= lower[d]![i]! ** 2 * pivots[i - d]!;
    if (!(pivot > 0)) throw new RangeError('the matrix is not positive definite');
    pivots[i] = pivot;
  }
  /** Solves the band alone for the first m entries of a vector, in place. */
  const solveBand = (z: Float64Array): void => {
    for (let i = 0; i < m; i++) for (let d = 1; d <= Math.min(BAND, i); d++) z[i]! -= lower[d]![i]! * z[i - d]!;
    for (let i = 0; i < m; i++) z[i]! /= pivots[i]!;
    for (let i = m - 1; i >= 0; i--) {
      for (let d = 1; d <= BAND && i + d < m; d++) z[i]! -= lower[d]![i + d]! * z[i + d]!;
    }
  };
  const border = Array.from({ length: BAND }, (_, c) => {
    const column = new Float64Array(m);
    for (let d = 1; d <= BAND; d++) {
      if (m + c - d < m) column[m + c - d] = bands[d]![m + c - d]!;
      if (m + c + d >= n) column[m + c + d - n] = bands[d]![m + c]!;
    }
    return column;
  });
  const through = border.map((column) => {
    const z = column.slice();
    solveBand(z);
    return z;
  });
  const dot = (a: Float64Array, b: Float64Array): number => {
    let sum = 0;
    for (let i = 0; i < m; i++) sum += a[i]! * b[i]!;
    return sum;
  };
  const joint = inverseOf(
    border.map((column, r) => through.map((z, c) => bands[Math.abs(r - c)]![m + Math.min(r, c)]! - dot(column, z))),
  );

  return {
    solve(right) {
      solveBand(right);
      const rest = border.map((column, r) => right[m + r]! - dot(column, right));
      for (const [c, row] of joint.entries()) {
        const value = row.reduce((sum, entry, r) => sum + entry * rest[r]!, 0);
        right[m + c] = value;
        for (let i = 0; i < m; i++) right[i]! -= through[c]![i]! * value;
      }
    },
    inverse() {
      const out = bands.map(() => new Float64Array(n));
      const known = (a: number, b: number): number => out[Math.abs(a - b)]![Math.min(a, b)]!;
      for (let i = m - 1; i >= 0; i--) {
        const end = Math.min(i + BAND, m - 1);
        for (let j = i; j <= end; j++) {
          let sum = 0;
          // The diagonal comes last: it needs the entries beside it.
          const column = j < end ? j + 1 : i;
          for (let k = i + 1; k <= end; k++) sum += lower[k - i]![k]! * known(k, column);
          out[column - i]![i] = (column === i ? 1 / pivots[i]! : 0) - sum;
        }
      }
      /** What the three set apart add: through * joint * throughᵀ, whose own rows are -1 in `through`. */
      const row = (i: number, c: number): number => (i < m ? through[c]![i]! : i - m === c ? -1 : 0);
      for (let d = 0; d <= BAND; d++) {
        for (let i = 0; i < n; i++) {
          const j = (i + d) % n;
          let sum = 0;
          for (let r = 0; r < BAND; r++) for (let c = 0; c < BAND; c++) sum += row(i, r) * joint[r]![c]! * row(j, c);
          out[d]![i]! += sum;
        }
      }
      return out;
    },
  };
}

/** Inverse of a small positive definite matrix, by Gauss–Jordan elimination without exchange of rows. */
function inverseOf(matrix: readonly (readonly number[])[]): number[][] {
  const n = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...matrix.map((_, j) => (i === j ? 1 : 0))]);
  for (let k = 0; k < n; k++) {
    const pivot = rows[k]![k]!;
    if (!(pivot > 0)) throw new RangeError('the matrix is not positive definite');
    rows[k] = rows[k]!.map((entry) => entry / pivot);
    for (let i = 0; i < n; i++) {
      if (i === k) continue;
      const factor = rows[i]![k]!;
      rows[i] = rows[i]!.map((entry, j) => entry - factor * rows[k]![j]!);
    }
  }
  return rows.map((row) => row.slice(n));
}
