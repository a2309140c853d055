import { describe, expect, test } from 'vitest';
import { ALL, type Exchange, exchangeWords, partsOf, restS, timeWith } from '../../src/report/causes/exchange.ts';

// Made by hand: in corner 1 each part saves 0.01, 0.02, 0.04, 0.08 s and together as much; in corner 2 only line and
// exit differ, and saving 0.10 and 0.20 s alone they save 0.25 s together. 0.15 + 0.25 of 0.43 s: the rest is 0.03 s.
const two = [0, 1000, 2000, 2500];
const lap: Exchange = {
  lapS: 90.43,
  referenceS: 90,
  stretches: [
    { key: '1', words: 'corner 1', saved: Array.from({ length: 16 }, (_, mask) => 100 * mask) },
    {
      key: '2',
      words: 'corner 2',
      saved: Array.from({ length: 16 }, (_, mask) => two[(mask & 1) + (mask & 8 ? 2 : 0)]!),
    },
  ],
};
const with_ = (first: number, second: number, rest = false) => ({ masks: [first, second], rest });

describe('a lap with parts of the reference in it', () => {
  test('has its own time with none and the reference’s with everything', () => {
    expect(timeWith(lap, with_(0, 0))).toBe(90.43);
    expect(restS(lap)).toBeCloseTo(0.03, 9);
    expect(timeWith(lap, with_(ALL, ALL, true))).toBeCloseTo(90, 9);
  });

  test('saves what the parts of a corner save together, and adds corners up', () => {
    expect(timeWith(lap, with_(0, 1))).toBeCloseTo(90.33, 9);
    expect(timeWith(lap, with_(0, 1 | 8))).toBeCloseTo(90.18, 9);
    expect(timeWith(lap, with_(2 | 4, 8))).toBeCloseTo(90.17, 9);
  });

  test('offers only parts in which the laps differ', () => {
    expect(lap.stretches.map(partsOf)).toEqual([1 | 2 | 4 | 8, 1 | 8]);
  });

  test('is said in a sentence', () => {
    expect(exchangeWords(lap, with_(0, 0))).toBe('1:30.43, the lap as it was ridden.');
    expect(exchangeWords(lap, with_(2, 8))).toBe(
      '1:30.21, 0.22\u202fs less than was ridden and 0.21\u202fs behind the reference, with the entry of corner 1 and the exit of corner 2 from the reference.',
    );
    expect(exchangeWords(lap, with_(ALL, 1))).toContain('with 5 parts from the reference');
    expect(exchangeWords(lap, with_(ALL, 9))).toBe(
      '1:30.03, 0.40\u202fs less than was ridden and 0.03\u202fs behind the reference, with every part from the reference.',
    );
    expect(exchangeWords(lap, with_(ALL, 9, true))).toBe('1:30.00, the reference lap: everything is taken from it.');
  });
});
