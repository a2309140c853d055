import { expect, test } from 'vitest';
import { median } from '../../src/numbers/quantile.ts';
import { compare } from '../../src/statistics/compare.ts';
import { humanBand } from '../../src/statistics/humanBand.ts';
import type { RunValues } from '../../src/statistics/runs.ts';
import { trend } from '../../src/statistics/trend.ts';
import { readCheck, readReference, withReference } from '../reference/folder.ts';

// Source: f-stats/real-lap-sample, 18 laps of two people; medians and slope from the check.
withReference('laps that people really rode: f-stats/real-lap-sample', () => {
  const rows = readReference('f-stats/real-lap-sample.csv')
    .trim()
    .split('\n')
    .slice(1)
    .map((line) => line.split(','));
  const runs = (driver: string): RunValues[] => {
    const sessions = new Map<string, number[]>();
    for (const [who, session, timeS] of rows)
      if (who === driver) sessions.set(session!, [...(sessions.get(session!) ?? []), Number(timeS)]);
    return [...sessions].map(([session, values]) => ({ session, day: session, order: 0, values }));
  };
  const laps = (driver: string): number[] => runs(driver).flatMap(({ values }) => values);
  const learning = (times: readonly number[]) =>
    trend(
      times.map((_, i) => i),
      times,
    );
  const { cases } = readCheck('f-stats/real-lap-sample.json');

  test('the novice learns', () => {
    const found = learning(laps('novice'));
    expect(found.verdict).toBe('falls');
    expect(found.slope).toBeCloseTo(cases[0]!.out['theil_sen_per_lap_s']!, 9);
    expect(median(laps('novice'))).toBeCloseTo(cases[0]!.out['median_s']!, 9);
  });

  test('the expert does not', () => {
    expect(learning(laps('expert')).verdict).toBe('cannot tell');
  });

  test('the spoilt lap fools nobody: the novice learns without it, and one like it makes no expert learn', () => {
    const [spoilt, ...others] = laps('novice');
    expect(spoilt).toBeGreaterThan(190);
    expect(learning(others).verdict).toBe('falls');
    expect(Math.abs(learning(others).slope - learning(laps('novice')).slope)).toBeLessThan(0.5);
    expect(learning([spoilt!, ...laps('expert')]).verdict).toBe('cannot tell');
  });

  test('two sessions of the novice are only compared within themselves, and the spoilt lap does not decide', () => {
    const [first, second] = runs('novice');
    const found = compare([first!], [second!]);
    expect(found.scope).toBe('within these sessions only');
    expect(found.change).toBeLessThan(0);
    expect(found.change).toBeGreaterThan(-20);
  });

  test('the novice lies outside the band of the expert', () => {
    expect(humanBand(median(laps('novice')), laps('expert')).verdict).toBe('slower than all');
    expect(humanBand(99.42, laps('expert')).verdict).toBe('inside');
  });
});
