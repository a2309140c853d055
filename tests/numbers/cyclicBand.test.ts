import { describe, expect, test } from 'vitest';
import { cyclicBand } from '../../src/numbers/cyclicBand.ts';

/** A matrix with a heavy diagonal, as bands and in full. */
function matrix(n: number) {
  const bands = [0, 1, 2, 3].map((d) =>
    Float64Array.from({ length: n }, (_, i) => (d === 0 ? 9 + (i % 3) : Math.sin(3 * d + 2 * i))),
  );
  const full = Array.from({ length: n }, () => new Float64Array(n));
  for (let d = 0; d <= 3; d++) {
    for (let i = 0; i < n; i++) full[i]![(i + d) % n] = full[(i + d) % n]![i] = bands[d]![i]!;
  }
  return { bands, full };
}
const times = (full: Float64Array[], x: Float64Array): Float64Array =>
  Float64Array.from(full, (row) => row.reduce((sum, entry, i) => sum + entry * x[i]!, 0));

describe('a banded ring', () => {
  test.each([8, 9, 20, 101])('of %i unknowns gives back what the full matrix was multiplied with', (n) => {
    const { bands, full } = matrix(n);
    const x = Float64Array.from({ length: n }, (_, i) => Math.cos(i * i));
    const right = times(full, x);
    cyclicBand(bands).solve(right);
    for (const [i, value] of x.entries()) expect(right[i]).toBeCloseTo(value, 12);
  });

  test.each([8, 15, 60])('of %i unknowns has the inverse that solving for unit vectors gives', (n) => {
    const { bands, full } = matrix(n);
    const inverse = cyclicBand(bands).inverse();
    // Columns of the inverse by plain elimination of the full matrix.
    for (let column = 0; column < n; column++) {
      const rows = full.map((row, i) => [...row, i === column ? 1 : 0]);
      for (let k = 0; k < n; k++) {
        for (let i = 0; i < n; i++) {
          if (i === k) continue;
          const factor = rows[i]![k]! / rows[k]![k]!;
          for (let j = k; j <= n; j++) rows[i]![j]! -= factor * rows[k]![j]!;
        }
      }
      for (let d = 0; d <= 3; d++) {
        const row = (column - d + n) % n;
        expect(inverse[d]![row]).toBeCloseTo(rows[row]![n]! / rows[row]![row]!, 12);
      }
    }
  });

  test('a matrix that is not positive definite, or too small a ring, is refused', () => {
    const { bands } = matrix(12);
    bands[0]![5] = -1;
    expect(() => cyclicBand(bands)).toThrow(/positive definite/);
    expect(() => cyclicBand(matrix(7).bands)).toThrow(/too small/);
  });
});
