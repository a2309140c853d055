import { describe, expect, test } from 'vitest';
import { adjusted } from '../../src/statistics/adjusted.ts';
import { compare } from '../../src/statistics/compare.ts';
import { detectableRatio } from '../../src/statistics/detectable.ts';
import { expectedBest } from '../../src/statistics/expectedBest.ts';
import { judge } from '../../src/statistics/judge.ts';
import { loss } from '../../src/statistics/loss.ts';
import { medianInterval } from '../../src/statistics/medianInterval.ts';
import { randomFrom, seedOf } from '../../src/statistics/random.ts';
import type { RunValues } from '../../src/statistics/runs.ts';
import { spread } from '../../src/statistics/spread.ts';

const run = (day: string, values: readonly number[], order = 0): RunValues => ({ session: day, day, order, values });

describe('which question the laps can answer', () => {
  test('one day against another is never real, however far apart', () => {
    const found = compare([run('d1', [10, 10.1, 9.9, 10, 10.2])], [run('d2', [5, 5.1, 4.9, 5, 5.2])]);
    expect(found.verdict).toBe('within these sessions only');
    expect(found.scope).toBe('within these sessions only');
    expect(found.change).toBeCloseTo(-5, 6);
  });

  test('two sessions of one day count as one', () => {
    const side = (day: string, level: number) => [
      run(day, [level, level + 0.1, level - 0.1]),
      run(day, [level, level + 0.2, level + 0.1], 1),
    ];
    expect(compare(side('d1', 10), side('d2', 5)).scope).toBe('within these sessions only');
  });

  test('three laps against three are too few: no split of six is rarer than one in ten', () => {
    const found = compare([run('d1', [10, 10.1, 9.9])], [run('d2', [5, 5.1, 4.9])]);
    expect(found.verdict).toBe('too few');
    // All nine differences: from 4.9 - 10.1 to 5.1 - 9.9, outside of which the shift lies in 2 of 20 orders.
    expect(found.interval!.low).toBeCloseTo(-5.2, 9);
    expect(found.interval!.high).toBeCloseTo(-4.8, 9);
    expect(found.interval!.level).toBeCloseTo(0.9, 9);
    expect(found.detectable).toBeGreaterThan(0);
  });

  test('two laps have no interval', () => {
    expect(compare([run('d1', [10, 10.1])], [run('d2', [5, 5.1, 4.9])])).toMatchObject({
      verdict: 'too few',
      interval: null,
    });
  });

  test('two days a side can be real, by the t test on the medians of the days', () => {
    // Days 10.0, 10.2 and 9.0, 9.2: pooled sd sqrt(0.02), error sqrt(0.02), t = -1 / 0.1414 = -7.07 with 2 degrees of
    // freedom; the limit of the t table is 4.303.
    const found = compare(
      [run('d1', [10, 9.9, 10.1]), run('d2', [10.2, 10.1, 10.3])],
      [run('d3', [9, 8.9, 9.1]), run('d4', [9.2, 9.1, 9.3])],
    );
    expect(found.verdict).toBe('real');
    expect(found.scope).toBe('between days');
    expect(found.change).toBeCloseTo(-1, 12);
    expect(found.interval!.high).toBeCloseTo(-1 + 4.302653 * Math.SQRT2 * 0.1, 6);
    expect(found.before).toEqual({ laps: 6, runs: 2, days: 2, median: 10.1 });
  });

  test('days that scatter as much as the difference cannot tell, and say what would have been seen', () => {
    const found = compare([run('d1', [10]), run('d2', [11])], [run('d3', [9.6]), run('d4', [10.6])]);
    expect(found.verdict).toBe('cannot tell');
    expect(found.detectable).toBeGreaterThan(Math.abs(found.change));
  });

  test('further versions sharpen the day-to-day scatter', () => {
    const [a, b] = [
      [run('d1', [10]), run('d2', [10.2])],
      [run('d3', [9.5]), run('d4', [9.7])],
    ];
    const alone = compare(a, b);
    const helped = compare(a, b, [['d5', 'd6', 'd7', 'd8'].map((day, i) => run(day, [8 + 0.2 * (i % 2)]))]);
    expect(alone.verdict).toBe('cannot tell');
    expect(helped.verdict).toBe('real');
  });

  test('versions that take turns in one day: a steady drift falls out', () => {
    const value = (place: number, side: number) => 100 + 0.2 * place + 0.5 * side;
    const sides = [0, 1, 1, 0, 1, 0, 0, 1];
    const of = (side: number) => sides.flatMap((s, place) => (s === side ? [run('d', [value(place, s)], place)] : []));
    const found = compare(of(0), of(1));
    expect(found.scope).toBe('taking turns');
    expect(found.change).toBeCloseTo(0.5, 9);
  });

  test('A before B in one day is no taking turns', () => {
    const first = [run('d', [1, 1.1, 1, 1.2], 0), run('d', [1, 1, 1.1], 1)];
    const second = [run('d', [2, 2.1, 2, 2.2], 2), run('d', [2, 2, 2.1], 3)];
    expect(compare(first, second).scope).toBe('within these sessions only');
  });

  test('an empty side is too few', () => {
    expect(compare([], [run('d', [1, 2, 3])]).verdict).toBe('too few');
  });

  test('the change of laps of two days is the difference of their medians, which its interval holds', () => {
    // Medians 3 and 1; the middle of all nine differences would be -0.2.
    const found = compare([run('d1', [1, 3, 3.1])], [run('d2', [0.9, 1, 2.9])]);
    expect(found.change).toBeCloseTo(-2, 12);
    expect(found.interval!.low).toBeLessThanOrEqual(found.change);
    expect(found.interval!.high).toBeGreaterThanOrEqual(found.change);
  });
});

describe('what a single lap can do', () => {
  test('a better best alone changes nothing', () => {
    const before = [run('d1', [10, 10.1, 9.9, 10, 10.2]), run('d2', [10.1, 10, 10.2, 9.9, 10.1])];
    const lucky = [run('d3', [10, 10.1, 3, 10, 10.2]), run('d4', [10.1, 10, 4, 9.9, 10.1])];
    const found = compare(before, lucky);
    expect(found.verdict).toBe('cannot tell');
    expect(Math.abs(found.change)).toBeLessThan(0.1);
  });

  // Expected least of n normals: Harter, Biometrika 48 (1961) 151, as printed in tables of normal order statistics.
  test('the best of n laps gets better by n alone', () => {
    expect(expectedBest(3)).toBeCloseTo(-0.84628, 5);
    expect(expectedBest(5)).toBeCloseTo(-1.16296, 5);
    expect(expectedBest(10)).toBeCloseTo(-1.53875, 5);
    expect(expectedBest(1)).toBe(0);
  });

  test('a spoilt lap hardly moves the scatter', () => {
    const day = (name: string, extra: number[]) => run(name, [10, 10.2, 9.9, 10.1, 9.8, ...extra]);
    const clean = spread([[day('d1', [10]), day('d2', [10])]]);
    const spoilt = spread([[day('d1', [60]), day('d2', [10])]]);
    expect(spoilt.lap!).toBeLessThan(3 * clean.lap!);
  });
});

describe('scatter by level', () => {
  test('is null where there is nothing to tell it from', () => {
    expect(spread([[run('d', [1])]])).toEqual({ lap: null, run: null, day: null });
    expect(spread([[run('d', [1, 2])]])).toMatchObject({ run: null, day: null });
    expect(spread([])).toEqual({ lap: null, run: null, day: null });
  });

  test('comes back from laps drawn with known scatter', () => {
    const random = randomFrom(5);
    const runs = Array.from({ length: 300 }, (_, day) => {
      const effect = 0.3 * random.normal();
      return [0, 1].map((order) => {
        const own = effect + 0.2 * random.normal();
        const values = Array.from({ length: 2 + ((day + order) % 3) }, () => own + 0.1 * random.normal());
        return run(`d${day}`, values, order);
      });
    }).flat();
    const found = spread([runs]);
    expect(found.lap).toBeCloseTo(0.1, 1);
    expect(found.run! / 0.2).toBeGreaterThan(0.85);
    expect(found.run! / 0.2).toBeLessThan(1.15);
    expect(found.day! / 0.3).toBeGreaterThan(0.85);
    expect(found.day! / 0.3).toBeLessThan(1.15);
  });
});

describe('is there a loss', () => {
  test('one day: within these sessions only; two days: real', () => {
    const day = (name: string) => run(name, [0.5, 0.6, 0.4, 0.55, 0.45, 0.5]);
    expect(loss([day('d1')]).verdict).toBe('within these sessions only');
    expect(loss([day('d1'), day('d2'), run('d3', [0.52])]).verdict).toBe('real');
  });

  test('two laps are too few', () => {
    expect(loss([run('d', [5, 5])])).toMatchObject({ verdict: 'too few', interval: null, detectable: null });
    expect(loss([])).toMatchObject({ verdict: 'too few', laps: 0 });
  });

  test('a shared uncertainty is not averaged away by more laps', () => {
    const many = [
      run(
        'd1',
        Array.from({ length: 50 }, (_, i) => 0.1 + 0.001 * (i % 5)),
      ),
    ];
    expect(loss(many).verdict).toBe('within these sessions only');
    expect(loss(many, 0.1).verdict).toBe('cannot tell');
    const days = ['d1', 'd2', 'd3'].map((day, i) => run(day, [0.1 + 0.001 * i]));
    expect(loss(days).verdict).toBe('real');
    expect(loss(days, 0.1).verdict).toBe('cannot tell');
  });
});

describe('many corners at once', () => {
  // Fifteen p values of the example of Benjamini & Hochberg, J. R. Stat. Soc. B 57 (1995) 289, 3.2: four are rejected at 5 %.
  test('the example of 1995 rejects four', () => {
    const p = [
      0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1,
    ];
    expect(adjusted(p).filter((q) => q <= 0.05)).toHaveLength(4);
    expect(adjusted([0.01, Number.NaN])).toEqual([0.01, Number.NaN]);
  });

  test('weights deal the chance out: by hand, 0.02 at three quarters is as 0.0133, at one quarter as 0.04', () => {
    const [a, b] = adjusted([0.02, 0.02], [3, 1]);
    expect(a).toBeCloseTo((2 * 0.04) / 3, 12);
    expect(b).toBeCloseTo(0.04, 12);
    expect(adjusted([0.01, 0.03, 0.2], [5, 5, 5])).toEqual(adjusted([0.01, 0.03, 0.2]));
  });

  test('a change that only one corner in many shows by chance does not stand', () => {
    const days = (level: number, gap: number) => [run('d1', [level]), run('d2', [level + gap])];
    const later = (level: number, gap: number) => [run('d3', [level]), run('d4', [level + gap])];
    // t = 1 / 0.2 = 5 with 2 degrees of freedom: p 0.038.
    const odd = { key: 'odd', before: days(2, 0.2), after: later(1, 0.2) };
    const quiet = Array.from({ length: 19 }, (_, i) => ({
      key: `quiet ${i}`,
      before: days(1, 0.2),
      after: later(1, 0.2),
    }));
    expect(judge([odd])[0]!.change.verdict).toBe('real');
    expect(judge([odd, ...quiet])[0]!.change.verdict).toBe('cannot tell');
  });
});

describe('limits that numbers of laps set', () => {
  // Source: domain table from an independent power calculation, two groups, 80 % power, 5 % two-sided, in sd.
  test.each([
    [3, 3.07],
    [5, 2.02],
    [8, 1.51],
    [12, 1.2],
    [20, 0.91],
    [40, 0.63],
  ])('%i laps against as many show %f sd', (n, sd) => {
    expect(detectableRatio(2 * n - 2) * Math.sqrt(2 / n)).toBeCloseTo(sd, 2);
  });

  test('exact levels of the interval for the median: 75 % at three, 93.75 % at five', () => {
    expect(medianInterval([1, 2], 1).interval).toBeNull();
    expect(medianInterval([3, 1, 2], 1)).toEqual({
      n: 3,
      median: 2,
      interval: { low: 1, high: 3, level: 0.75 },
      rule: 'range',
    });
    expect(medianInterval([1, 2, 3, 4, 5], 1).interval!.level).toBe(0.9375);
    // Conover, table of binomial: 6 values 1 - 2 / 64; 8 without the ends 1 - 18 / 256.
    expect(medianInterval([1, 2, 3, 4, 5, 6], 1).interval!.level).toBe(1 - 2 / 64);
    expect(medianInterval([1, 2, 3, 4, 5, 6, 7, 8], 1).interval).toEqual({ low: 2, high: 7, level: 1 - 18 / 256 });
  });

  test('the same laps give the same interval to the last bit', () => {
    const laps = Array.from({ length: 14 }, (_, i) => 100 + Math.sin(i));
    expect(medianInterval(laps, seedOf(laps))).toEqual(medianInterval(laps, seedOf(laps)));
    expect(seedOf('a', 'b')).not.toBe(seedOf('ab'));
  });
});
