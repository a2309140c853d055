import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { hermiteAt, hermiteMany, limitSlopes, monotoneSlopes } from '../../src/numbers/hermite.ts';
import { readCheck, withReference } from '../reference/folder.ts';

interface Table {
  x: number[];
  y: number[];
  xq: number[];
}

const table = (input: Table) => [input.x, input.y, input.xq].map((list) => Float64Array.from(list)) as Float64Array[];

/** Largest difference, relative where the expected value is large. */
function worst(got: ArrayLike<number>, expected: number[]): number {
  return Math.max(...expected.map((value, i) => Math.abs(got[i]! - value) / Math.max(1, Math.abs(value))));
}

withReference('shape-preserving slopes: c-interp/pchip.json', () => {
  const check = readCheck<Table, { y: number[]; dydx_at_x: number[]; min: number; max: number }>('c-interp/pchip.json');
  test.each(check.cases)('$id $set: slopes and values agree', ({ in: input, out }) => {
    const [x, y, xq] = table(input) as [Float64Array, Float64Array, Float64Array];
    const slopes = monotoneSlopes(x, y);
    expect(worst(slopes, out.dydx_at_x)).toBeLessThan(check.tolerance.rel!);
    const values = hermiteMany(x, y, slopes, xq);
    expect(worst(values, out.y)).toBeLessThan(check.tolerance.rel!);
    expect(Math.min(...values)).toBeGreaterThanOrEqual(out.min - check.tolerance.abs!);
    expect(Math.max(...values)).toBeLessThanOrEqual(out.max + check.tolerance.abs!);
  });
});

withReference('limited slopes: c-interp/monotone-fritsch-carlson.json', () => {
  const check = readCheck<Table, { y: number[] }>('c-interp/monotone-fritsch-carlson.json');
  test.each(check.cases)('$id $set: values agree', ({ in: input, out }) => {
    const [x, y, xq] = table(input) as [Float64Array, Float64Array, Float64Array];
    // The method of the file starts from the mean of the two secants beside each point, the one secant at the ends.
    const secants = Array.from({ length: x.length - 1 }, (_, i) => (y[i + 1]! - y[i]!) / (x[i + 1]! - x[i]!));
    const start = Float64Array.from(
      x,
      (_, i) => ((secants[i - 1] ?? secants[i])! + (secants[i] ?? secants[i - 1])!) / 2,
    );
    const slopes = limitSlopes(x, y, start);
    expect(worst(hermiteMany(x, y, slopes, xq), out.y)).toBeLessThan(check.tolerance.abs!);
  });
});

describe('cubic Hermite interpolation', () => {
  const x = Float64Array.of(0, 1, 3, 4);
  const cubic = (t: number): number => 1 + 2 * t - 3 * t ** 2 + 0.5 * t ** 3;
  const y = x.map(cubic);
  const slopes = x.map((t) => 2 - 6 * t + 1.5 * t ** 2);

  test('a cubic with its own slopes comes back, at single places and in one pass', () => {
    const places = Float64Array.of(0, 0.25, 1, 1, 2.5, 3, 3.75, 4);
    const many = hermiteMany(x, y, slopes, places);
    for (const [i, place] of places.entries()) {
      expect(hermiteAt(x, y, slopes, place)).toBeCloseTo(cubic(place), 12);
      expect(many[i]).toBe(hermiteAt(x, y, slopes, place));
    }
  });

  test('outside the table there is no value', () => {
    expect(hermiteAt(x, y, slopes, -1e-9)).toBeNaN();
    expect(hermiteAt(x, y, slopes, 4.000001)).toBeNaN();
    expect(hermiteAt(x, y, slopes, Number.NaN)).toBeNaN();
    expect([...hermiteMany(x, y, slopes, Float64Array.of(-1, 2, 5))].map(Number.isNaN)).toEqual([true, false, true]);
    expect(hermiteAt(Float64Array.of(1), Float64Array.of(1), Float64Array.of(0), 1)).toBeNaN();
  });

  test('a missing value spoils the two intervals on either side, never a knot or what lies farther off', () => {
    const holed = Float64Array.of(0, 1, Number.NaN, 3, 4, 5);
    const places = Float64Array.of(0, 1, 2, 3, 4, 5);
    const values = hermiteMany(places, holed, monotoneSlopes(places, holed), Float64Array.of(0.5, 1, 1.5, 2.5, 3, 4.5));
    expect([...values].map(Number.isNaN)).toEqual([true, false, true, true, false, false]);
  });

  test('limited slopes give rising values for rising data, whatever the slopes were', () => {
    const rising = fc.array(
      fc.tuple(
        fc.double({ min: 0.01, max: 5, noNaN: true }),
        fc.double({ min: 0, max: 5, noNaN: true }),
        fc.double({ min: -20, max: 20, noNaN: true }),
      ),
      { minLength: 2, maxLength: 12 },
    );
    fc.assert(
      fc.property(rising, (steps) => {
        let [at, value] = [0, 0];
        const xs = Float64Array.from(steps, ([dx]) => (at += dx));
        const ys = Float64Array.from(steps, ([, dy]) => (value += dy));
        const limited = limitSlopes(
          xs,
          ys,
          Float64Array.from(steps, ([, , m]) => m),
        );
        const places = Float64Array.from({ length: 200 }, (_, i) => xs[0]! + ((xs.at(-1)! - xs[0]!) * i) / 199);
        const values = hermiteMany(xs, ys, limited, places);
        for (let i = 1; i < values.length; i++) {
          if (Number.isNaN(values[i]!)) continue;
          expect(values[i]! - values[i - 1]!).toBeGreaterThan(-1e-9);
        }
      }),
      { seed: 11, numRuns: 300 },
    );
  });

  test('slopes that already give a monotone curve stay as they are', () => {
    const gentle = Float64Array.of(1, 1, 1, 1);
    expect([...limitSlopes(x, x, gentle)]).toEqual([1, 1, 1, 1]);
  });
});
