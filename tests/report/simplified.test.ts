import fc from 'fast-check';
import { expect, test } from 'vitest';
import { simplified } from '../../src/report/figures/simplified.ts';

test('points on one line shrink to its ends', () => {
  const points = Array.from({ length: 100 }, (_, i): [number, number] => [i, 2 * i]);
  expect(simplified(points, 0.25)).toEqual([
    [0, 0],
    [99, 198],
  ]);
});

test('every point stays within the tolerance of the line that is left', () => {
  const curve = fc.array(fc.double({ min: -50, max: 50, noNaN: true }), { minLength: 3, maxLength: 200 });
  fc.assert(
    fc.property(curve, (ys) => {
      const points = ys.map((y, i): [number, number] => [i, y]);
      const left = simplified(points, 0.25);
      for (const p of points) {
        const near = left.slice(1).some((b, i) => {
          const a = left[i]!;
          const t = Math.max(
            0,
            Math.min(
              1,
              ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) /
                ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2),
            ),
          );
          return Math.hypot(p[0] - a[0] - t * (b[0] - a[0]), p[1] - a[1] - t * (b[1] - a[1])) <= 0.2501;
        });
        expect(near).toBe(true);
      }
    }),
  );
});
