import { describe, expect, test } from 'vitest';
import { periodicSlopes, periodicSpline } from '../../src/numbers/periodicSpline.ts';
import { readCheck, withReference } from '../reference/folder.ts';

interface Ends {
  y: number[];
  d1_at_x: number[];
  d2_at_x: number[];
}
const PERIODIC = 'periodic (last y set to first)';

// The other end rules of the file do not apply: circuits are closed.
withReference('periodic cubic spline: c-interp/cubic-spline.json', () => {
  const check = readCheck<Record<'x' | 'y' | 'xq', number[]>, Record<string, Ends>>('c-interp/cubic-spline.json');
  test.each(check.cases)('$id $set: values and two derivatives agree', ({ in: input, out }) => {
    const x = Float64Array.from(input.x);
    const y = Float64Array.from(input.y);
    y[y.length - 1] = y[0]!;
    const spline = periodicSpline(x, y);
    const { y: values, d1_at_x, d2_at_x } = out[PERIODIC]!;
    const agree = (got: number[], expected: number[]) => {
      const scale = Math.max(...expected.map(Math.abs));
      for (const [i, value] of expected.entries()) {
        expect(Math.abs(got[i]! - value)).toBeLessThan(check.tolerance.rel! * scale);
      }
    };
    agree(input.xq.map(spline.value), values);
    agree([...x].map(spline.first), d1_at_x);
    agree([...x].map(spline.second), d2_at_x);
    agree([...periodicSlopes(x, y)], d1_at_x);
  });
});

describe('periodic cubic spline', () => {
  const x = Float64Array.of(0, 1, 2.5, 3, 5);
  const y = Float64Array.of(1, 4, -2, 0, 1);
  const spline = periodicSpline(x, y);

  test('value and both derivatives run through the join without a step', () => {
    for (const evaluate of [spline.value, spline.first, spline.second]) {
      expect(evaluate(5 - 1e-9)).toBeCloseTo(evaluate(1e-9), 6);
    }
  });

  test('any real place is taken around the period', () => {
    for (const place of [-12.3, -5, 0.7, 5, 23.4]) {
      expect(spline.value(place)).toBeCloseTo(spline.value(place + 5), 11);
    }
  });

  test('shifted knots give the same curve', () => {
    const moved = periodicSpline(
      x.map((at) => at + 100),
      y,
    );
    expect(moved.value(101.7)).toBeCloseTo(spline.value(1.7), 11);
  });
});
