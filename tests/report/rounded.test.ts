import fc from 'fast-check';
import { expect, test } from 'vitest';
import { rounded } from '../../src/report/rounded.ts';

const cells = fc.array(fc.double({ min: -30, max: 30, noNaN: true }), { minLength: 1, maxLength: 80 });
const digits = fc.integer({ min: 1, max: 3 });

test('thirds that round down alone add up together', () => {
  // By hand: 0.333 + 0.333 + 0.334 = 1.000; the largest remainder goes up.
  expect(rounded([0.333, 0.333, 0.334], 2)).toEqual([0.33, 0.33, 0.34]);
});

test('the values that are shown add up to the total that is shown', () => {
  fc.assert(
    fc.property(cells, digits, (values, d) => {
      const shown = rounded(values, d).map((v) => Math.round(Number(v.toFixed(d)) * 10 ** d));
      const total = Math.round(values.reduce((s, v) => s + v, 0) * 10 ** d) + 0;
      // Where the total lies within rounding error of half a step, either neighbour is right.
      const rest = Math.abs(values.reduce((s, v) => s + v, 0) * 10 ** d - total);
      const sum = shown.reduce((s, v) => s + v, 0) + 0;
      if (Math.abs(rest - 0.5) > 1e-6) expect(sum).toBe(total);
      else expect(Math.abs(sum - total)).toBeLessThanOrEqual(1);
    }),
  );
});

test('no value moves by a whole step', () => {
  fc.assert(
    fc.property(cells, digits, (values, d) => {
      rounded(values, d).forEach((shown, i) => {
        expect(Math.abs(shown - values[i]!)).toBeLessThan(10 ** -d + 1e-9);
      });
    }),
  );
});

test('a total that is known apart from the values is met', () => {
  expect(rounded([0.1239, 0.2251], 2, 0.35)).toEqual([0.12, 0.23]);
});

test('losses and gains with their signs swapped stay within a step of each other', () => {
  fc.assert(
    fc.property(cells, (values) => {
      const there = rounded(values, 2);
      const back = rounded(
        values.map((v) => -v),
        2,
      );
      there.forEach((v, i) => {
        expect(Math.abs(v + back[i]!)).toBeLessThan(0.0101);
      });
    }),
  );
});
