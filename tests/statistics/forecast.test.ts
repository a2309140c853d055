import { describe, expect, test } from 'vitest';
import { forecast, intervalScore } from '../../src/statistics/forecast.ts';
import { learningCurve } from '../../src/statistics/learningCurve.ts';
import { mixtureBelow, mixtureQuantile, predictive } from '../../src/statistics/predictive.ts';

const noise = (i: number): number => [0.06, -0.08, 0.02, 0.09, -0.05, -0.07, 0.08, 0, -0.1, 0.03][i % 10]!;
const learning = (weeks: number) =>
  Array.from({ length: weeks }, (_, w) => ({ weeks: w, gapS: 1 + 4 * Math.exp(-w / 4) + noise(w) }));

describe('forecast', () => {
  test('none under five weeks, however many sessions they hold', () => {
    expect(forecast(learning(4), [6])).toBeNull();
    expect(forecast([], [6])).toBeNull();
    const crowded = Array.from({ length: 12 }, (_, i) => ({ weeks: i / 3, gapS: 5 - i / 4 }));
    expect(forecast(crowded, [6])).toBeNull();
    expect(forecast(learning(5), [6])).not.toBeNull();
  });

  test('the fan opens, holds what comes and never levels out below the bound', () => {
    const made = forecast(learning(9), [9, 11, 14], 0)!;
    const [near, , far] = made.fan;
    expect(far!.interval.high - far!.interval.low).toBeGreaterThan(near!.interval.high - near!.interval.low);
    for (const { weeks, medianS } of made.fan)
      expect(Math.abs(medianS - 1 - 4 * Math.exp(-weeks / 4))).toBeLessThan(0.3);
    const falling = Array.from({ length: 8 }, (_, w) => ({ weeks: w, gapS: 4 - 0.5 * w + noise(w) }));
    const late = forecast(falling, [30], 0.4)!.fan[0]!;
    expect(late.medianS).toBeGreaterThan(0.2);
  });

  test('the chance of a target is between its limits and rises with the target and, for a learner, with time', () => {
    const made = forecast(learning(9), [12])!;
    const chances = [0, 1, 1.2, 1.5, 2, 4].map((targetS) => made.chance(12, targetS));
    chances.forEach((chance, i) => {
      expect(chance).toBeGreaterThanOrEqual(i === 0 ? 0 : chances[i - 1]!);
      expect(chance).toBeLessThanOrEqual(1);
    });
    expect(made.chance(12, 1.2)).toBeGreaterThan(made.chance(9, 1.2));
    const { interval } = made.fan[0]!;
    expect(made.chance(12, interval.high) - made.chance(12, interval.low)).toBeCloseTo(0.8, 6);
  });

  test('keeps a record of its own past', () => {
    expect(forecast(learning(5), [7])!.record).toEqual({
      forecasts: 0,
      held: null,
      score: null,
      persistenceScore: null,
    });
    const { record } = forecast(learning(12), [14])!;
    // Origins after 5 to 11 sessions; up to three weeks ahead: 3 + 3 + 3 + 3 + 3 + 2 + 1.
    expect(record.forecasts).toBe(18);
    expect(record.held).toBeGreaterThan(0.5);
    expect(record.score!).toBeLessThan(record.persistenceScore!);
  });

  // Gneiting & Raftery 2007: (u - l) + 2 / alpha times the distance; alpha 0.2.
  test('interval score', () => {
    expect(intervalScore({ low: 1, high: 3, level: 0.8 }, 2)).toBe(2);
    expect(intervalScore({ low: 1, high: 3, level: 0.8 }, 3.5)).toBeCloseTo(2 + 10 * 0.5, 12);
  });
});

describe('what one curve foretells', () => {
  test('is the ordinary prediction interval where nothing wanders', () => {
    // R: predict(lm(dist ~ speed)) is tested elsewhere; here the closed form for a straight line through five points.
    const x = [0, 1, 2, 3, 4];
    const y = [1, 3, 2, 5, 4];
    // Slope 0.8, intercept 1.4, residual sum 3.6, s² = 1.2; at x = 6: 1 + 1/5 + 16/10 = 2.8.
    const fit = predictive(
      x,
      y,
      x.map((v) => [1, v]),
      0,
    )!;
    const { mean, scale, df } = fit.predict(6, [1, 6]);
    expect(mean).toBeCloseTo(6.2, 10);
    expect(scale).toBeCloseTo(Math.sqrt(1.2 * 2.8), 10);
    expect(df).toBe(3);
  });

  test('a walk is followed to its last value', () => {
    const fit = predictive([0, 1, 2, 3, 4, 5], [0, 1, 2, 3, 4, 5], [[1], [1], [1], [1], [1], [1]], 1e6)!;
    expect(fit.predict(6, [1]).mean).toBeCloseTo(5, 3);
  });

  test('too little data is null', () => {
    expect(
      predictive(
        [0, 1],
        [1, 2],
        [
          [1, 0],
          [1, 1],
        ],
        0,
      ),
    ).toBeNull();
  });

  test('quantiles of a mixture are the inverse of its shares', () => {
    const parts = [
      { weight: 1, mean: 0, scale: 1, df: 5 },
      { weight: 3, mean: 4, scale: 0.5, df: 30 },
    ];
    for (const p of [0.1, 0.25, 0.5, 0.9]) expect(mixtureBelow(parts, mixtureQuantile(parts, p))).toBeCloseTo(p, 9);
  });
});

describe('the learning curve to be drawn', () => {
  test('comes back from its own points', () => {
    const weeks = [0, 1, 2, 3, 5, 6, 8, 9];
    const found = learningCurve(
      weeks,
      weeks.map((w) => 1.5 + 3 * Math.exp(-w / 2.5)),
    )!;
    expect(found.levelS).toBeCloseTo(1.5, 6);
    expect(found.heightS).toBeCloseTo(3, 6);
    expect(found.timeConstant).toBeCloseTo(2.5, 6);
  });

  test('is not drawn through points that do not bend', () => {
    expect(learningCurve([0, 1, 2, 3, 4, 5], [2, 2.1, 1.9, 2, 2.1, 2])).toBeNull();
    expect(learningCurve([0, 1, 2, 3, 4, 5], [5, 4.52, 3.98, 3.53, 3, 2.49])).toBeNull();
    expect(learningCurve([0, 1, 2], [3, 2, 1])).toBeNull();
  });
});
