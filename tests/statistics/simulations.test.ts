import { describe, expect, test } from 'vitest';
import {
  fallingRegret,
  forecastScore,
  medianCoverage,
  rankRegret,
  realAlarms,
  stepAlarms,
  stepPower,
  turnsAlarms,
} from './simulations.ts';

// A few repetitions of what `npm run bench -- statistics` does with many. Stated rates are the expectation; the limits are
// three binomial standard deviations about them.

const within = (share: number, stated: number, runs: number): void => {
  const reach = 3 * Math.sqrt((stated * (1 - stated)) / runs);
  expect(Math.abs(share - stated)).toBeLessThan(reach);
};

describe('intervals for the median hold it as often as they state', () => {
  test.each(['normal', 'skewed'])('%s laps', (kind) => {
    for (const laps of [3, 5, 8]) {
      const { stated, held } = medianCoverage(kind, laps, 2000);
      within(held, stated, 2000);
    }
    for (const laps of [12, 20]) within(medianCoverage(kind, laps, 100).held, 0.95, 100);
  });
});

describe('false alarms stay at one in twenty', () => {
  test.each(['flat', 'learning', 'power learning'])('steps in a %s campaign without a step', (kind) => {
    within(stepAlarms(kind, 10, 200), 0.05, 200);
  });

  test('a step of 0.8 s at a new version is mostly found', () => {
    expect(stepPower(0.8, 40)).toBeGreaterThan(0.4);
  });

  test('equal sides with two or more days are rarely called real', () => {
    within(realAlarms({ days: 2, laps: 6 }, { days: 3, laps: 6 }, 1000).real, 0.05, 1000);
    within(realAlarms({ days: 4, laps: 6 }, { days: 4, laps: 6 }, 500, 'skewed').real, 0.05, 500);
  });

  test('one day against another is never called real', () => {
    expect(realAlarms({ days: 1, laps: 11 }, { days: 1, laps: 9 }, 300).real).toBe(0);
  });

  test('a drift of the day does not make versions that take turns differ, and a difference is seen', () => {
    within(turnsAlarms([...'ABBABAAB'], 0, 500), 0.05, 500);
    expect(turnsAlarms([...'ABBABAAB'], 0.6, 100)).toBeGreaterThan(0.8);
  });
});

describe('forecasts', () => {
  test('hold about 80 % and beat the last value, whether or not the course is one of theirs', () => {
    const all = ['exponential', 'line', 'stairs', 'S-shaped'].map((course) => forecastScore(course, 8, 8));
    const held = all.reduce((s, r) => s + r.held, 0) / all.length;
    expect(held).toBeGreaterThan(0.7);
    expect(held).toBeLessThan(0.93);
    const total = (of: 'score' | 'persistenceScore') => all.reduce((s, r) => s + r[of], 0);
    expect(total('score')).toBeLessThan(0.9 * total('persistenceScore'));
  });
});

test('the rank regrets less than ranking by the last session', () => {
  const { rankS, lastS } = rankRegret(0.03, 0.1, 12);
  expect(rankS).toBeLessThan(0.85 * lastS);
});

test('so does the rank of losses that fall by shares, from what their laps tell', () => {
  const { rankS, lastS } = fallingRegret(0.05, 12);
  expect(rankS).toBeLessThan(lastS);
});
