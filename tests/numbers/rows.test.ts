import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { known } from '../../src/numbers/known.ts';
import { ranked } from '../../src/numbers/quantile.ts';
import { rowsWithin } from '../../src/numbers/rowsWithin.ts';
import { steps } from '../../src/numbers/steps.ts';

const numbers = fc.array(fc.integer({ min: -5, max: 5 }), { maxLength: 30 });

describe('rows of numbers', () => {
  test('those within two limits are the ones that lie there', () => {
    fc.assert(
      fc.property(numbers, fc.integer({ min: -6, max: 6 }), fc.integer({ min: 0, max: 6 }), (values, from, width) => {
        const rising = Float64Array.from(values).sort();
        const [first, end] = rowsWithin(rising, from, from + width);
        expect([...rising.subarray(first, end)]).toEqual([...rising].filter((v) => v >= from && v <= from + width));
      }),
      { seed: 5 },
    );
  });

  test('steps are what leads from each to the next', () => {
    expect([...steps(Float64Array.of(1, 4, 2, 2))]).toEqual([3, -2, 0]);
    expect(steps(Float64Array.of(7))).toHaveLength(0);
    expect(steps(new Float64Array(0))).toHaveLength(0);
  });

  test('the known ones keep their order', () => {
    expect([...known(Float64Array.of(Number.NaN, 3, Number.NaN, 1))]).toEqual([3, 1]);
    expect(known(Float64Array.of(Number.NaN))).toHaveLength(0);
  });

  test('the one of a rank is what sorting puts there, and nothing is moved', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: -5, max: 5 }), { minLength: 1, maxLength: 30 }),
        fc.nat(29),
        (list, at) => {
          const place = at % list.length;
          const values = Float64Array.from(list);
          expect(ranked(values, place)).toBe(list.toSorted((a, b) => a - b)[place]);
          expect([...values]).toEqual(list);
        },
      ),
      { seed: 6 },
    );
  });
});
