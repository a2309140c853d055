import { describe, expect, test } from 'vitest';
import { elapsed, looksLikeBasicClock } from '../../src/read/elapsed.ts';
import { basicClockS, stamp } from '../../src/read/stamp.ts';

// Expected values: `date -u -d "2026-01-08 10:15:00" +%s` of GNU coreutils.
describe('a stamp', () => {
  test.each([
    ['2026-01-08T10:15:00Z', 'instant', 1767867300],
    ['2026-01-08 10:15:00.25', 'instant', 1767867300.25],
    ['2026-01-08T11:15:00+01:00', 'instant', 1767867300],
    ['2026-01-08T05:15:00-0500', 'instant', 1767867300],
    ['2026-01-08T10:15Z', 'instant', 1767867300],
    ['2026/01/08 10:15:00', 'instant', 1767867300],
    ['2016-12-31T23:59:60Z', 'instant', 1483228800],
    ['2026-01-08', 'date', 1767830400],
    ['10:15:00.5', 'clock', 36900.5],
    ['9:05', 'clock', 32700],
  ] as const)('%s is %s', (text, kind, seconds) => {
    expect(stamp(text)).toEqual({ kind, seconds });
  });

  test.each([
    '2026-02-30T10:00:00Z',
    '2026-13-01',
    '2026-01-08T10:75:00Z',
    '9999-12-31T23:59:59Z',
    '1969-12-31',
    '10',
    'noon',
    '2026-01-08T',
    '26:00:00',
  ])('%s is none', (text) => {
    expect(stamp(text)).toBeNull();
  });

  test('hours, minutes and seconds may stand without colons', () => {
    expect(basicClockS(101500.25)).toBe(36900.25);
    expect(basicClockS(107500)).toBeNaN();
    expect(basicClockS(-1)).toBeNaN();
  });
});

describe('elapsed time', () => {
  const values = (...all: number[]) => Float64Array.from(all);

  test('a time of day goes on past midnight', () => {
    expect([...elapsed(values(86_399, 86_399.5, 0, 0.5), 'clock', null).timeS]).toEqual([
      86_399, 86_399.5, 86_400, 86_400.5,
    ]);
  });

  test('a time of day with its date becomes an instant', () => {
    const { timeS, epochS } = elapsed(values(86_399, 1), 'clock', values(1767830400, 1767916800));
    expect([...timeS]).toEqual([0, 2]);
    expect(epochS).toBe(1767916799);
  });

  test('plain numbers as large as Unix seconds are such, small ones are not', () => {
    expect(elapsed(values(1767867300.25, 1767867301), null, null)).toMatchObject({
      epochS: 1767867300.25,
      timeS: values(0, 0.75),
    });
    expect(elapsed(values(-0.5, 0), null, null)).toMatchObject({ epochS: null, timeS: values(-0.5, 0) });
  });

  test('a clock in the year 9999 is out of range', () => {
    const { timeS, outOfRange, firstOut } = elapsed(values(1767867300, 253402300799, 1767867302), null, null);
    expect([...timeS]).toEqual([0, Number.NaN, 2]);
    expect([outOfRange, firstOut]).toEqual([1, 1]);
  });

  test('numbers that go from 59 to 100 are times of day, plain seconds are not', () => {
    expect(looksLikeBasicClock(values(101_558, 101_559, 101_600))).toBe(true);
    expect(looksLikeBasicClock(values(58, 59, 60))).toBe(false);
    expect(looksLikeBasicClock(values(0, 0.05, 0.1))).toBe(false);
  });
});
