import { describe, expect, test } from 'vitest';
import { savgol, savgolWeights } from '../../src/numbers/savgol.ts';
import { readCheck, withReference } from '../reference/folder.ts';

interface Filter {
  y: number[];
  window: number;
  degree: number;
  derivative: number;
  ends: string;
  dt: number;
}

withReference('published weights: c-interp/savgol-weights.json', () => {
  const check = readCheck<Filter, { integer_weights: number[]; divisor: number }>('c-interp/savgol-weights.json');
  test.each(check.cases)(
    '$id: window $in.window, degree $in.degree, derivative $in.derivative',
    ({ in: input, out }) => {
      const weights = savgolWeights(input.window, input.degree, input.derivative);
      for (const [i, integer] of out.integer_weights.entries()) {
        expect(Math.abs(weights[i]! - integer / out.divisor)).toBeLessThan(check.tolerance.abs!);
      }
    },
  );
});

// Cases with mirrored or held ends do not apply: only the fit of the end window is offered.
withReference('whole traces: c-interp/savgol-output.json', () => {
  const check = readCheck<Filter, { y: number[] }>('c-interp/savgol-output.json');
  const cases = check.cases.filter((one) => one.in.ends === 'interp');
  test('the file has cases with fitted ends', () => expect(cases.length).toBeGreaterThan(5));
  test.each(cases)('$id $set: values agree', ({ in: { y, window, degree, derivative, dt }, out }) => {
    const got = savgol(Float64Array.from(y), window, degree, derivative, dt);
    for (const [i, value] of out.y.entries()) {
      expect(Math.abs(got[i]! - value)).toBeLessThan(check.tolerance.abs! + check.tolerance.rel! * Math.abs(value));
    }
  });
});

describe('Savitzky–Golay filter', () => {
  test('a wide window gives back a cubic and its derivative, up to the ends', () => {
    const y = Float64Array.from({ length: 300 }, (_, i) => 1 + 0.1 * i - (i / 50) ** 3);
    const smooth = savgol(y, 101, 3);
    const slope = savgol(y, 101, 3, 1, 0.5);
    for (const i of [0, 3, 49, 50, 150, 299]) {
      expect(smooth[i]).toBeCloseTo(y[i]!, 8);
      expect(slope[i]).toBeCloseTo(2 * (0.1 - (3 * i * i) / 50 ** 3), 8);
    }
  });

  test('a window that cannot be filled is refused', () => {
    expect(() => savgol(new Float64Array(4), 5, 2)).toThrow(/4 samples/);
    expect(() => savgol(new Float64Array(9), 4, 2)).toThrow(/odd/);
    expect(() => savgolWeights(3, 3, 0)).toThrow(/degree 3/);
  });
});
