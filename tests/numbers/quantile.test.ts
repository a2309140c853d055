import { describe, expect, test } from 'vitest';
import { mad, median, quantile } from '../../src/numbers/quantile.ts';
import { readCheck, withReference } from '../reference/folder.ts';

withReference('order statistics: f-stats/quantiles-and-corrections.json', () => {
  const check = readCheck<{ x: number[]; probabilities: number[] }, Record<string, number>>(
    'f-stats/quantiles-and-corrections.json',
  );
  // Quantile rules other than type 7 do not apply.
  test('quantiles of type 7 agree', () => {
    const { in: input, out } = check.cases.find((one) => one.id === 'f6-quantile-7')!;
    const { q } = out as unknown as { q: number[] };
    for (const [i, p] of input.probabilities.entries()) expect(quantile(input.x, p)).toBeCloseTo(q[i]!, 10);
  });
  test('median and its distances agree', () => {
    const { in: input, out } = check.cases.find((one) => one.id === 'f6-robust')!;
    const { median: middle, mad_raw, 'mad_scaled_1.4826': scaled } = out;
    expect(median(input.x)).toBeCloseTo(middle!, 10);
    expect(mad(input.x)).toBeCloseTo(mad_raw!, 10);
    expect(1.4826 * mad(input.x)).toBeCloseTo(scaled!, 10);
  });
});

describe('order statistics', () => {
  test('the order of the values does not matter and they are left alone', () => {
    const values = [3, 1, 2, 10];
    expect(median(values)).toBe(2.5);
    expect(quantile(values, 0)).toBe(1);
    expect(quantile(values, 1)).toBe(10);
    expect(values).toEqual([3, 1, 2, 10]);
  });

  test('without values, or with one that is missing, there is no answer', () => {
    expect(median([])).toBeNaN();
    expect(median([1, Number.NaN, 2])).toBeNaN();
    expect(mad([Number.NaN])).toBeNaN();
  });
});
