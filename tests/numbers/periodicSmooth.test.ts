import { describe, expect, test } from 'vitest';
import { ringSmoother, ringValue } from '../../src/numbers/periodicSmooth.ts';

/** Points of a function on the ring at even shares. */
function ring(count: number, f: (share: number) => number) {
  const share = Float64Array.from({ length: count }, (_, i) => i / count);
  return { share, values: [share.map(f)], weight: share.map(() => 1) };
}
const wave = (k: number) => (share: number) => Math.cos(2 * Math.PI * k * share);

describe('smoothing around a ring', () => {
  test('a constant and the join stay as they are', () => {
    const curve = ringSmoother(
      ring(500, () => 7),
      60,
    ).smooth(0.2);
    for (const share of [0, 0.31, 0.999999]) expect(ringValue(curve, share)[0]).toBeCloseTo(7, 9);
    const waves = ringSmoother(ring(500, wave(3)), 100).smooth(0.05);
    expect(ringValue(waves, 1 - 1e-12)[0]).toBeCloseTo(ringValue(waves, 0)[0]!, 9);
  });

  test('waves of the cut-off come through by half, others by the sixth power of the ratio', () => {
    for (const k of [5, 10, 20]) {
      const curve = ringSmoother(ring(6000, wave(k)), 400).smooth(1 / 10);
      // Gain of the rule as stated, 1 / (1 + (k / 10)^6).
      expect(ringValue(curve, 0)[0]).toBeCloseTo(1 / (1 + (k / 10) ** 6), 2);
    }
  });

  test('the score is least near the cut-off that parts a slow wave from scatter', () => {
    // Scatter without a pattern, from the fractions of multiples of the square root of two.
    const scatter = (share: number): number => ((((share * 2000) ** 2 * Math.SQRT2) % 1) - 0.5) * 0.6;
    const smoother = ringSmoother(
      ring(2000, (share) => wave(4)(share) + scatter(share)),
      300,
    );
    const best = [0.02, 0.05, 0.1, 0.2, 0.4].reduce((a, b) => (smoother.score(b) < smoother.score(a) ? b : a));
    expect([0.05, 0.1, 0.2]).toContain(best);
    const curve = smoother.smooth(best);
    for (const share of [0.1, 0.35, 0.8])
      expect(Math.abs(ringValue(curve, share)[0]! - wave(4)(share))).toBeLessThan(0.05);
  });

  test('points without weight do not count', () => {
    const data = ring(300, wave(2));
    for (const i of [40, 41, 200]) {
      data.values[0]![i] = 50;
      data.weight[i] = 0;
    }
    expect(ringValue(ringSmoother(data, 40).smooth(0.05), 41 / 300)[0]).toBeCloseTo(wave(2)(41 / 300), 2);
  });
});
