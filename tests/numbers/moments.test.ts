import { describe, expect, test } from 'vitest';
import { mean, standardDeviation } from '../../src/numbers/moments.ts';
import { readCheck, readColumns, withReference } from '../reference/folder.ts';

withReference('certified means and deviations: f-stats/strd-univariate.json', () => {
  const check = readCheck<{ y_text: string[] | null; file: string | null }, { mean: string; sd_n_minus_1: string }>(
    'f-stats/strd-univariate.json',
  );
  test.each(check.cases)('$id: nine digits (seven for the deviation of NumAcc4)', ({ id, in: input, out }) => {
    const { y } = input.y_text ? { y: input.y_text.map(Number) } : readColumns(`f-stats/${input.file}`);
    const digits = id.endsWith('NumAcc4') ? 1e-7 : 1e-9;
    expect(Math.abs(mean(y!) / Number(out.mean) - 1)).toBeLessThan(1e-9);
    expect(Math.abs(standardDeviation(y!) / Number(out.sd_n_minus_1) - 1)).toBeLessThan(digits);
  });
});

describe('moments', () => {
  test('too few values have none', () => {
    expect(mean([])).toBeNaN();
    expect(mean([4])).toBe(4);
    expect(standardDeviation([4])).toBeNaN();
    expect(standardDeviation([1, Number.NaN, 3])).toBeNaN();
  });
});
