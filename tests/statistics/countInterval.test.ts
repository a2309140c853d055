import { expect, test } from 'vitest';
import { countInterval } from '../../src/statistics/countInterval.ts';

// Source: scipy.stats.chi2.ppf(0.05, 2 k) / 2 and chi2.ppf(0.95, 2 k + 2) / 2.
test.each([
  [0, 0, 2.9957322735539895],
  [1, 0.05129329438755053, 4.743864518390577],
  [2, 0.35536151069866195, 6.295793621871988],
  [5, 1.9701495680595302, 10.513034908741535],
  [17, 10.832140356275987, 25.499230082855323],
])('the count %i', (count, low, high) => {
  const found = countInterval(count);
  expect(found.low).toBeCloseTo(low, 9);
  expect(found.high).toBeCloseTo(high, 9);
});
