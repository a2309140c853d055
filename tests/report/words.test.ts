import { describe, expect, test } from 'vitest';
import {
  digitsFor,
  gapWords,
  lapTime,
  listWords,
  metres,
  number,
  percent,
  plural,
  plusMinus,
  seconds,
  signed,
  speedText,
} from '../../src/report/words.ts';

// Expected texts are written by hand after the rules of the look: m:ss.mmm, U+2212 as minus, U+202F before a unit.
const T = '\u202f';

describe('lap times', () => {
  test('are minutes, seconds and thousandths', () => {
    expect(lapTime(92.412)).toBe('1:32.412');
    expect(lapTime(48.12)).toBe('0:48.120');
    expect(lapTime(600)).toBe('10:00.000');
  });
  test('carry into the minute when rounding fills it', () => {
    expect(lapTime(59.9996)).toBe('1:00.000');
    expect(lapTime(119.96, 1)).toBe('2:00.0');
    expect(lapTime(119.6, 0)).toBe('2:00');
  });
  test('that are missing are a dash', () => {
    expect(lapTime(null)).toBe('–');
    expect(lapTime(Number.NaN)).toBe('–');
  });
});

describe('digits follow the uncertainty', () => {
  test.each([
    [0.002, 3], // 90 % half-width 0.0033
    [0.007, 2], // 0.0115
    [0.03, 2], // 0.049
    [0.1, 1], // 0.16
    [2, 1], // never fewer than one
    [1e-6, 3], // never more than three
  ])('a standard deviation of %d s gives %d digits', (sigma, digits) => expect(digitsFor(sigma)).toBe(digits));
});

describe('gaps', () => {
  test('say behind or ahead and carry their 90 % interval', () => {
    // 1.645 × 0.01 = 0.01645
    expect(gapWords(4.0712, 0.01)).toBe(`4.07 ±${T}0.02${T}s behind`);
    expect(gapWords(-0.118, 0.01)).toBe(`0.12 ±${T}0.02${T}s ahead`);
  });
  test('that round to nothing are level', () => expect(gapWords(0.0004, null, 2)).toBe(`level (within 0.01${T}s)`));
});

test('differences have a sign, zero has none', () => {
  expect(signed(0.31, 2)).toBe('+0.31');
  expect(signed(-0.314, 2)).toBe('−0.31');
  expect(signed(-0.0004, 2)).toBe('0.00');
  expect(signed(0.0004, 2)).toBe('0.00');
});

test('an interval is never shown as zero', () => expect(plusMinus(0.0001, 2)).toBe(`±${T}0.01`));

test('units stand after a narrow space', () => {
  expect(seconds(0.4312, null, 2)).toBe(`0.43${T}s`);
  expect(speedText(10)).toBe(`36.0${T}km/h`);
  expect(percent(0.583)).toBe(`58${T}%`);
  expect(metres(1204.4)).toBe(`1${T}204${T}m`);
  expect(metres(12345678)).toBe(`12${T}345${T}678${T}m`);
  expect(number(-3.26, 1)).toBe('−3.3');
});

test('counts and lists read as sentences do', () => {
  expect(plural(0, 'lap')).toBe('no laps');
  expect(plural(1, 'lap')).toBe('1 lap');
  expect(plural(3, 'lap')).toBe('3 laps');
  expect(listWords([])).toBe('');
  expect(listWords(['3', '8', '11'])).toBe('3, 8 and 11');
});
