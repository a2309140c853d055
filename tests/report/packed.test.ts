import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { embedded, keptPoints, packed, unpacked } from '../../src/report/packed.ts';

// What is packed is known, so what comes out is compared with what went in.
describe('a packed curve', () => {
  test('comes back to half a unit at every kept point, holes as holes', () => {
    fc.assert(
      fc.property(
        fc.array(fc.option(fc.double({ min: -500, max: 500, noNaN: true })), { minLength: 2, maxLength: 300 }),
        fc.integer({ min: 1, max: 400 }),
        fc.constantFrom(10, 100, 1000),
        (values, most, scale) => {
          const points = keptPoints(values.length - 1, most);
          const back = unpacked(packed(values, points, scale), scale);
          expect(back).toHaveLength(points.length);
          points.forEach((point, i) => {
            const value = values[point];
            if (value === null || value === undefined) expect(back[i]).toBeNaN();
            else expect(Math.abs(back[i]! - value)).toBeLessThanOrEqual(0.5 / scale + 1e-9);
          });
        },
      ),
    );
  });

  // The steps 120, 5, -15 and 0 by hand: 240 = 16 + 7 * 32, so `w` (16 + 32) and `H` (7); 10 is `K`, 31 is `f`, 0 is `A`.
  test('is written as steps of whole numbers, a letter or two each', () => {
    expect(packed([1.2, null, 1.25, 1.1, 1.1], [0, 1, 2, 3, 4], 100)).toBe('wH.KfA');
  });
});

describe('kept points', () => {
  test('hold both ends, rise, and are evenly far apart to one', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5000 }), fc.integer({ min: 1, max: 2000 }), (steps, most) => {
        const points = keptPoints(steps, most);
        expect(points[0]).toBe(0);
        expect(points.at(-1)).toBe(steps);
        expect(points.length - 1).toBe(Math.min(steps, most));
        const gaps = points.slice(1).map((p, i) => p - points[i]!);
        expect(Math.max(...gaps) - Math.min(...gaps)).toBeLessThanOrEqual(1);
        expect(Math.min(...gaps)).toBeGreaterThanOrEqual(1);
      }),
    );
  });
});

test('data in a page cannot end the element that holds it', () => {
  const text = embedded({ name: '</script><!--' });
  expect(text).not.toContain('<');
  expect(JSON.parse(text)).toEqual({ name: '</script><!--' });
});
