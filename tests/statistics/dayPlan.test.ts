import { describe, expect, test } from 'vitest';
import { dayPlan, medianVariance } from '../../src/statistics/dayPlan.ts';
import { humanBand } from '../../src/statistics/humanBand.ts';
import { orderOfRuns } from '../../src/statistics/orderOfRuns.ts';
import { trend } from '../../src/statistics/trend.ts';

const question = { effectS: 0.5, versions: ['0.3', '0.4'], lapS: 0.25, runS: 0.05, lapsPerRun: 3, mostRuns: 20 };

describe('day plan', () => {
  test('smaller effects take more runs, and the plan shows what was asked', () => {
    const runs = [0.8, 0.5, 0.3].map((effectS) => dayPlan({ ...question, effectS }).runsPerVersion!);
    expect(runs).toEqual(runs.toSorted((a, b) => a - b));
    expect(runs[2]).toBeGreaterThan(runs[0]!);
    expect(dayPlan(question).detectableS!).toBeLessThanOrEqual(0.5);
    expect(dayPlan(question).lapsPerVersion).toBe(3 * dayPlan(question).runsPerVersion!);
  });

  test('a day that is too short says so, and what it could show', () => {
    const short = dayPlan({ ...question, effectS: 0.1, mostRuns: 4 });
    expect(short.runsPerVersion).toBeNull();
    expect(short.order).toHaveLength(4);
    expect(short.detectableS!).toBeGreaterThan(0.1);
    expect(dayPlan({ ...question, mostRuns: 2 })).toMatchObject({ runsPerVersion: null, detectableS: null });
    expect(dayPlan({ ...question, versions: ['0.3'] })).toMatchObject({ runsPerVersion: null, order: [] });
  });

  // Variances of medians of normal samples, from tables of normal order statistics: 0.4487 at 3, 0.2982 at 4, 0.2868 at 5,
  // 0.2104 at 7.
  test.each([
    [1, 1],
    [2, 0.5],
    [3, 0.4487],
    [4, 0.2982],
    [5, 0.2868],
    [7, 0.2104],
  ])('median of %i laps', (n, variance) => {
    expect(medianVariance(n) / variance).toBeGreaterThan(0.97);
    expect(medianVariance(n) / variance).toBeLessThan(1.03);
  });
});

describe('order of runs', () => {
  test('is A B B A and so on', () => {
    expect(orderOfRuns(['A', 'B'], 4).join('')).toBe('ABBABAAB');
    expect(orderOfRuns(['A', 'B', 'C'], 2).join('')).toBe('ABCCBA');
    expect(orderOfRuns(['A'], 4)).toEqual([]);
  });

  test('a steady drift weighs on all versions alike for an even number of runs', () => {
    for (const versions of [
      ['A', 'B'],
      ['A', 'B', 'C'],
      ['A', 'B', 'C', 'D'],
    ])
      for (const each of [2, 4, 6]) {
        const order = orderOfRuns(versions, each);
        const places = versions.map((v) => order.reduce((s, w, i) => s + (v === w ? i : 0), 0));
        expect(new Set(places).size).toBe(1);
      }
  });
});

describe('human band', () => {
  test('says where a lap lies among the rider’s own', () => {
    const laps = [99, 99.2, 99.3, 99.5, 99.6, 99.9, 100, 100.1];
    const found = humanBand(99.55, laps);
    expect(found).toMatchObject({ n: 8, faster: 0.5, verdict: 'inside', outsideByChance: 2 / 9 });
    // Clopper & Pearson for 8 of 8 at 90 %: 0.05^(1/8).
    expect(humanBand(105, laps).interval!.low).toBeCloseTo(0.05 ** (1 / 8), 12);
    expect(humanBand(105, laps).interval!.high).toBe(1);
    expect(humanBand(90, laps).verdict).toBe('faster than all');
    expect(humanBand(99.2, laps).faster).toBe(1.5 / 8);
  });

  test('four laps are too few', () => {
    expect(humanBand(99, [98, 99, 100, 101])).toMatchObject({ faster: null, interval: null, verdict: 'too few' });
    expect(humanBand(99, [])).toMatchObject({ n: 0, outsideByChance: 1, verdict: 'too few' });
  });
});

describe('trend', () => {
  test('few or equal values tell nothing', () => {
    expect(trend([], []).verdict).toBe('too few');
    expect(trend([1, 2, 3, 4], [4, 3, 2, 1]).verdict).toBe('too few');
    expect(trend([1, 1, 1, 1, 1], [4, 3, 2, 1, 5])).toMatchObject({ interval: null, verdict: 'cannot tell' });
  });

  // Exact: one order of 120 is perfect, one is perfectly turned round.
  test('five laps in perfect order have p 2 / 120', () => {
    const found = trend([1, 2, 3, 4, 5], [5, 4, 3, 2, 1]);
    expect(found.p).toBeCloseTo(2 / 120, 12);
    expect(found).toMatchObject({ slope: -1, verdict: 'falls' });
  });
});
