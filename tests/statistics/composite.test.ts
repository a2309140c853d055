import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { composite, type SectionedLap } from '../../src/statistics/composite.ts';

const lap = (sectionsS: number[], speedsMps: number[], offsetsM = speedsMps.map(() => 0)): SectionedLap => ({
  sectionsS,
  speedsMps,
  offsetsM,
});

describe('feasible composite', () => {
  test('changes laps only where speed and place agree', () => {
    const laps = [lap([10, 12, 10], [50, 40, 40, 50]), lap([11, 10, 12], [50, 40.3, 45, 50])];
    // Joint 1 agrees (0.3 m/s), joint 2 does not (5 m/s): best is lap 0, then lap 1 to the end: 10 + 10 + 12 = 32 s, as long
    // as lap 0 by itself; with the loose joint 30 s.
    expect(composite(laps)).toMatchObject({ timeS: 32, laps: [0, 0, 0], joins: 0, sumOfBestsS: 30 });
    expect(composite(laps, { speedMps: 6, offsetM: 1 })).toMatchObject({ timeS: 30, laps: [0, 1, 0], joins: 2 });
    const apart = [laps[0]!, { ...laps[1]!, offsetsM: [0, 0, 2, 0] }];
    expect(composite(apart, { speedMps: 6, offsetM: 1 })!.timeS).toBe(32);
  });

  test('ends at the gate as it began, or in the lap that it began with', () => {
    // Lap 1 begins at 60 m/s and ends at 50; lap 0 begins and ends at 50. Starting with lap 1 and ending in lap 0 (18 s)
    // would begin faster than it ends.
    const laps = [lap([12, 8], [50, 40, 50]), lap([10, 12], [60, 40, 50])];
    expect(composite(laps)).toMatchObject({ timeS: 20, laps: [0, 0], sumOfBestsS: 18 });
  });

  test('a section that does not count is passed by', () => {
    const laps = [lap([10, Number.NaN], [50, 40, 50]), lap([11, 10], [50, 40, 50])];
    expect(composite(laps)).toMatchObject({ timeS: 20, laps: [0, 1], best: { lap: 1, timeS: 21 } });
    expect(composite([lap([10, Number.NaN], [50, 40, 50])])).toBeNull();
    expect(composite([])).toBeNull();
  });

  // Independent: every way through the sections, tried one by one.
  test('equals trying every way, and lies between the sum of bests and the best lap', () => {
    const value = fc.integer({ min: 0, max: 8 }).map((k) => k / 4);
    const laps = fc.array(
      fc.record({
        sectionsS: fc.array(fc.integer({ min: 40, max: 60 }), { minLength: 4, maxLength: 4 }),
        speedsMps: fc.array(value, { minLength: 5, maxLength: 5 }),
        offsetsM: fc.array(value, { minLength: 5, maxLength: 5 }),
      }),
      { minLength: 1, maxLength: 4 },
    );
    fc.assert(
      fc.property(laps, (list) => {
        const tolerance = { speedMps: 0.6, offsetM: 0.6 };
        let least = Number.POSITIVE_INFINITY;
        const walk = (section: number, at: number, timeS: number, first: number): void => {
          const now = timeS + list[at]!.sectionsS[section]!;
          if (section === 3) {
            const off = (of: 'speedsMps' | 'offsetsM') => Math.abs(list[at]![of][4]! - list[first]![of][0]!);
            if (at === first || (off('speedsMps') <= 0.6 && off('offsetsM') <= 0.6)) least = Math.min(least, now);
            return;
          }
          list.forEach((next, k) => {
            const apart = (of: 'speedsMps' | 'offsetsM') =>
              Math.abs(list[at]![of][section + 1]! - next[of][section + 1]!);
            if (k === at || (apart('speedsMps') <= 0.6 && apart('offsetsM') <= 0.6)) walk(section + 1, k, now, first);
          });
        };
        list.forEach((_, k) => {
          walk(0, k, 0, k);
        });
        const found = composite(list, tolerance)!;
        expect(found.timeS).toBe(least);
        expect(found.sumOfBestsS).toBeLessThanOrEqual(found.timeS);
        expect(found.timeS).toBeLessThanOrEqual(found.best!.timeS);
        expect(found.laps.reduce((s, k, section) => s + list[k]!.sectionsS[section]!, 0)).toBe(found.timeS);
      }),
      { numRuns: 200 },
    );
  });
});
