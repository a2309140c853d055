import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { offMedian } from '../../src/align/offMedian.ts';
import { bridge, localLine, spanHoles } from '../../src/align/smooth.ts';
import { strayFixes } from '../../src/align/strayFixes.ts';
import { median } from '../../src/numbers/quantile.ts';
import { seeded } from '../simulator/seeded.ts';

const times = (n: number, step = 0.1) => Float64Array.from({ length: n }, (_, i) => i * step);

describe('a local line', () => {
  test('returns a straight line as it is, at the ends too', () => {
    const t = times(50);
    const y = t.map((v) => 3 - 2 * v);
    const at = Float64Array.of(0, 0.01, 1.234, 4.9);
    const { value, slope } = localLine(t, y, at, 0.4);
    at.forEach((v, i) => {
      expect(value[i]).toBeCloseTo(3 - 2 * v, 10);
      expect(slope[i]).toBeCloseTo(-2, 9);
    });
  });

  test('is the weighted least-squares line: tricube weights, by hand for three points', () => {
    // Points at -0.1, 0, 0.1 with half width 0.2: weights (1 - 0.5³)³ = 0.669921875, 1, 0.669921875.
    const { value, slope } = localLine(
      Float64Array.of(-0.1, 0, 0.1),
      Float64Array.of(1, 0, 3),
      Float64Array.of(0),
      0.2,
    );
    const w = 0.669921875;
    expect(value[0]).toBeCloseTo((w * (1 + 3)) / (1 + 2 * w), 12);
    expect(slope[0]).toBeCloseTo(10, 9);
  });

  test('leaves out what is missing, and says nothing where fewer than two points are near', () => {
    const t = times(20);
    const y = t.map((v, i) => (i === 10 ? Number.NaN : v));
    expect(localLine(t, y, Float64Array.of(1), 0.4).value[0]).toBeCloseTo(1, 10);
    expect(localLine(t, y, Float64Array.of(5), 0.4).value[0]).toBeNaN();
    expect(localLine(t, y, Float64Array.of(0), 0.05).value[0]).toBeNaN();
  });

  test('brings noise down by about the root of the points in the window', () => {
    const random = seeded('noise');
    const t = times(4000, 0.01);
    const y = t.map(() => random.normal());
    const inner = localLine(t, y, t, 0.4).value.subarray(100, 3900);
    const rms = Math.sqrt(inner.reduce((sum, v) => sum + v * v, 0) / inner.length);
    // Sum of squared tricube weights over the square of their sum, 80 points: (175/247) / (0.4 s / 0.01 s) = 0.0177.
    expect(rms).toBeGreaterThan(0.8 * Math.sqrt(0.0177));
    expect(rms).toBeLessThan(1.2 * Math.sqrt(0.0177));
  });

  test('is the weighted least-squares line whether points come evenly, with holes, late or not at all', () => {
    // The definition, point by point: normal equations of a line about each asked time.
    const plain = (t: Float64Array, y: Float64Array, at: number, h: number): [number, number] => {
      const sums = [0, 0, 0, 0, 0];
      for (const [j, time] of t.entries()) {
        const x = time - at;
        if (Math.abs(x) >= h || Number.isNaN(y[j]!)) continue;
        const w = (1 - (Math.abs(x) / h) ** 3) ** 3;
        [1, x, x * x, y[j]!, x * y[j]!].forEach((part, k) => void (sums[k]! += w * part));
      }
      const [w0, w1, w2, y0, y1] = sums as [number, number, number, number, number];
      const det = w0 * w2 - w1 * w1;
      return [(w2 * y0 - w1 * y1) / det, (w0 * y1 - w1 * y0) / det];
    };
    fc.assert(
      fc.property(
        fc.record({
          step: fc.constantFrom(0.005, 0.01, 0.02),
          // Per 20 points: how much the clock is late, whether points lack their value, how long a hole is.
          parts: fc.array(
            fc.tuple(fc.constantFrom(0, 0, 0, 0.003), fc.constantFrom(0, 0, 1), fc.constantFrom(0, 0, 0.05, 1)),
            { minLength: 2, maxLength: 6 },
          ),
          shift: fc.constantFrom(0, 0, 0.0013, -0.04),
          seed: fc.nat(1000),
        }),
        ({ step, parts, shift, seed }) => {
          const random = seeded(`local line ${seed}`);
          const t: number[] = [];
          const y: number[] = [];
          let clock = 7;
          for (const [late, missing, hole] of parts) {
            clock += hole;
            for (let i = 0; i < 20; i++) {
              t.push((clock += step) + (i % 3 === 1 ? late * step : 0));
              y.push(missing && i % 7 === 3 ? Number.NaN : 100 + 3 * random.normal());
            }
          }
          const [timeS, value] = [Float64Array.from(t), Float64Array.from(y)];
          const at = timeS.map((v) => v + shift);
          const local = localLine(timeS, value, at, 0.1);
          for (const [i, v] of at.entries()) {
            const [middle, rise] = plain(timeS, value, v, 0.1);
            if (!(Math.abs(rise) < 1e4)) continue;
            // Between worked-out entries a cubic stands in: 1e-3 of the noise, which is 3 here.
            expect(Math.abs(local.value[i]! - middle)).toBeLessThan(1e-3 * 3);
            expect(Math.abs(local.slope[i]! - rise)).toBeLessThan((1e-2 * 3) / 0.1);
          }
        },
      ),
      { seed: 12, numRuns: 100 },
    );
  });

  test('spans a hole straight, from side to side', () => {
    const t = Float64Array.from([...times(10), ...times(10).map((v) => v + 3)]);
    // Bent just before the hole: carried on, it would go astray.
    const y = t.map((v) => (v > 0.7 && v < 2 ? (v - 0.7) * 5 : 0));
    const at = times(40);
    const spanned = spanHoles(localLine(t, y, at, 0.4), t, y, at, 0.4);
    const [first, last] = [spanned.value[9]!, spanned.value[30]!];
    for (let i = 10; i < 30; i++) expect(spanned.value[i]).toBeCloseTo(first + ((i - 9) / 21) * (last - first), 9);
  });
});

test('a bridge is straight between neighbours and level at the ends', () => {
  const v = Float64Array.of(Number.NaN, 2, Number.NaN, Number.NaN, 5, Number.NaN);
  bridge(Float64Array.of(0, 1, 2, 3, 4, 5), v);
  expect([...v]).toEqual([2, 2, 3, 4, 5, 5]);
});

describe('distance from the running median', () => {
  test('is what sorting every window says', () => {
    fc.assert(
      fc.property(
        fc.array(fc.oneof(fc.double({ min: -9, max: 9, noNaN: true }), fc.constant(Number.NaN)), { maxLength: 40 }),
        fc.nat(6),
        (values, reach) => {
          const known = values.flatMap((v, i) => (Number.isNaN(v) ? [] : [i]));
          const off = offMedian(Float64Array.from(values), reach);
          for (const [i, v] of values.entries()) {
            if (Number.isNaN(v)) {
              expect(off[i]).toBeNaN();
              continue;
            }
            const k = known.indexOf(i);
            const window = known.slice(Math.max(0, k - reach), k + reach + 1).map((j) => values[j]!);
            // Of an even number, near the ends, the upper of the two middle ones.
            const middle =
              window.length % 2 === 1 ? median(window) : window.toSorted((a, b) => a - b)[window.length / 2]!;
            expect(off[i]).toBe(Math.abs(v - middle));
          }
        },
      ),
      { seed: 3, numRuns: 200 },
    );
  });

  test('shows a burst shorter than half the window in full', () => {
    const y = times(100).map((t, i) => t + (i >= 50 && i < 58 ? 8 : 0));
    const off = offMedian(y, 20);
    for (let i = 50; i < 58; i++) expect(off[i]!).toBeGreaterThan(7);
    for (let i = 20; i < 48; i++) expect(off[i]!).toBeLessThan(1);
  });
});

describe('stray fixes', () => {
  const fixes = (east: number[], sigma = 0.02) => ({
    timeS: times(east.length),
    eastM: Float64Array.from(east),
    northM: new Float64Array(east.length),
    sigmaM: new Float64Array(east.length).fill(sigma),
  });

  test('are single ones off both neighbours', () => {
    const east = Array.from({ length: 30 }, (_, i) => 2 * i);
    east[7]! += 15;
    east[20]! -= 400;
    expect([...strayFixes(fixes(east)).keys()].filter((i) => strayFixes(fixes(east))[i])).toEqual([7, 20]);
  });

  test('are not noise at standstill, nor a jump that stays', () => {
    const random = seeded('still');
    expect(strayFixes(fixes(Array.from({ length: 5000 }, () => 0.02 * random.normal()))).some((v) => v)).toBe(false);
    expect(strayFixes(fixes([0, 1, 2, 3, 50, 51, 52, 53])).some((v) => v)).toBe(false);
  });
});
