import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { orderedClock } from '../../src/laps/clock.ts';

const NaN_ = Number.NaN;
const clock = (...stamps: number[]) => orderedClock(Float64Array.from(stamps));
const steps = (n: number, from = 0, step = 0.1): number[] => Array.from({ length: n }, (_, i) => from + i * step);

describe('a clock', () => {
  test('in order is left as it is', () => {
    const { timeS, row, ...rest } = clock(0, 0.1, 0.2, 0.5);
    expect([...timeS]).toEqual([0, 0.1, 0.2, 0.5]);
    expect([...row]).toEqual([0, 1, 2, 3]);
    expect(rest).toEqual({ breaks: [], noTime: 0, repeated: 0, firstRepeated: -1, reordered: 0, firstReordered: -1 });
  });

  test('puts rows written late in their place and says how many they were', () => {
    const { timeS, row, reordered, firstReordered, breaks } = clock(0, 1, 2, 5, 3, 4, 6);
    expect([...timeS]).toEqual([0, 1, 2, 3, 4, 5, 6]);
    expect([...row]).toEqual([0, 1, 2, 4, 5, 3, 6]);
    expect([reordered, firstReordered]).toEqual([2, 4]);
    expect(breaks).toEqual([]);
  });

  test('keeps the first of rows with one stamp', () => {
    const { timeS, row, repeated, firstRepeated } = clock(0, 1, 1, 1, 2);
    expect([...timeS]).toEqual([0, 1, 2]);
    expect([...row]).toEqual([0, 1, 4]);
    expect([repeated, firstRepeated]).toEqual([2, 2]);
  });

  test('leaves out rows without a stamp', () => {
    const { timeS, row, noTime } = clock(NaN_, 0, NaN_, 1, NaN_);
    expect([...timeS]).toEqual([0, 1]);
    expect([...row]).toEqual([1, 3]);
    expect(noTime).toBe(3);
  });

  test('that falls back and stays back goes on one usual step behind the break; steps on each side are the log’s own', () => {
    const { timeS, breaks, reordered } = orderedClock(Float64Array.from([...steps(1000, 50), ...steps(1000, 3)]));
    expect(reordered).toBe(0);
    expect(breaks).toHaveLength(1);
    expect(breaks[0]!.row).toBe(1000);
    expect(breaks[0]!.backS).toBeCloseTo(50 + 99.9 - 3, 9);
    expect(timeS).toHaveLength(2000);
    for (let i = 1; i < 2000; i++) expect(timeS[i]! - timeS[i - 1]!).toBeCloseTo(0.1, 9);
  });

  test('may fall back more than once', () => {
    const { timeS, breaks } = orderedClock(
      Float64Array.from([...steps(800, 100), ...steps(800, 50), ...steps(800, 0)]),
    );
    expect(breaks.map(({ row }) => row)).toEqual([800, 1600]);
    expect(timeS.at(-1)! - timeS[0]!).toBeCloseTo(239.9, 6);
  });

  test('accounts for every row, rises strictly, and keeps no row twice, whatever the stamps', () => {
    const stamp = fc.oneof(fc.integer({ min: 0, max: 40 }), fc.constant(NaN_));
    fc.assert(
      fc.property(fc.array(stamp, { maxLength: 60 }), (stamps) => {
        const { timeS, row, noTime, repeated } = clock(...stamps);
        expect(timeS.length + noTime + repeated).toBe(stamps.length);
        expect(new Set(row).size).toBe(row.length);
        for (let i = 1; i < timeS.length; i++) expect(timeS[i]!).toBeGreaterThan(timeS[i - 1]!);
        for (const r of row) expect(Number.isNaN(stamps[r]!)).toBe(false);
      }),
      { seed: 1, numRuns: 500 },
    );
  });
});
