import { describe, expect, test } from 'vitest';
import { holeLimitS } from '../../src/laps/laps.ts';

describe('the longest hole that passes', () => {
  // A hole h hides up to a·h²/8 of way: at 10 m/s² and v the time is off by 10·h²/(8·v); 10 ms is what may be lost.
  test.each([20, 50, 80])('at %i m/s costs at most 10 ms', (v) => {
    const h = holeLimitS(v);
    expect((10 * h * h) / (8 * v)).toBeCloseTo(0.01, 12);
  });

  test('is never below a quarter of a second nor above a second', () => {
    expect(holeLimitS(0)).toBe(0.25);
    expect(holeLimitS(3)).toBe(0.25);
    expect(holeLimitS(400)).toBe(1);
  });

  test('at 50 m/s is 0.63 s', () => {
    expect(holeLimitS(50)).toBeCloseTo(0.632, 3);
  });
});
