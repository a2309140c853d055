import { describe, expect, test } from 'vitest';
import type { Gate } from '../../src/circuit/circuit.ts';
import { crossingDelay, crossings } from '../../src/laps/gate.ts';
import { readCheck, withReference } from '../reference/folder.ts';
import { seeded } from '../simulator/seeded.ts';

interface In {
  t0: number;
  s0: number;
  v0: number;
  t1: number;
  s1: number;
  v1: number;
  gate_s: number;
}

withReference('the moment of a crossing between two samples', () => {
  // Source: reference check d-lap/gate-crossing (s = v0 t + a t² / 2), tolerance 1e-7 s.
  const check = readCheck<In, { tau_s: number }>('d-lap/gate-crossing.json');
  test.each(check.cases)('$id', ({ in: x, out }) => {
    const tau = crossingDelay(x.t1 - x.t0, x.s0 - x.gate_s, x.v0, x.s1 - x.gate_s, x.v1);
    expect(Math.abs(tau - out.tau_s)).toBeLessThan(check.tolerance['tau_s']!);
  });
});

describe('crossings of a gate', () => {
  // Ridden eastward; posts 10 m to each side.
  const gate: Gate = { leftEastM: 0, leftNorthM: 10, rightEastM: 0, rightNorthM: -10 };
  const found = (points: readonly (readonly [number, number])[], stepS = 0.1) =>
    crossings(
      gate,
      Float64Array.from(points, (_, i) => i * stepS),
      Float64Array.from(points, ([e]) => e),
      Float64Array.from(points, ([, n]) => n),
    );
  const ride = (from: number, to: number, north: number, step = 3): [number, number][] =>
    Array.from({ length: Math.round(Math.abs(to - from) / step) + 1 }, (_, i) => [
      from + i * step * Math.sign(to - from),
      north,
    ]);

  test('count in the direction of travel and between the posts', () => {
    expect(found(ride(-31, 30, 2))).toHaveLength(1);
    expect(found(ride(31, -30, 2))).toHaveLength(0);
    expect(found(ride(-31, 30, 10.5))).toHaveLength(0);
    expect(found(ride(-31, 30, -9.5))).toHaveLength(1);
  });

  test('are timed exactly at constant speed', () => {
    const [one] = found(ride(-31, 30, 0));
    expect(one!.timeS).toBeCloseTo(31 / 30, 12);
    expect(one!.speedMps).toBeCloseTo(30, 9);
    expect(one!.fix).toBe(11);
  });

  test('on a gate that the position drifts across for a minute count once, when it leaves', () => {
    // 2 cm of noise at 50 Hz: the way from fix to fix adds up to more than a gate width many times over.
    const random = seeded('gate');
    const waiting = Array.from({ length: 3000 }, (_, i): [number, number] => [
      0.4 * Math.sin(i / 40) + 0.02 * random.normal(),
      0.02 * random.normal(),
    ]);
    const all = found([...ride(-30, -0.3, 0, 0.3), ...waiting, ...ride(0.3, 60, 0, 0.3)], 0.02);
    expect(all).toHaveLength(1);
    expect(all[0]!.timeS).toBeGreaterThan(59);
  });

  test('after a way back by a few metres and on again count once, after a lap twice', () => {
    expect(found([...ride(-31, 8, 0, 1.5), ...ride(8, -7, 0, 1.5), ...ride(-7, 40, 0, 1.5)])).toHaveLength(1);
    const round: [number, number][] = [...ride(-31, 100, 0), ...ride(100, -100, 60), ...ride(-100, 40, 0)];
    expect(found(round)).toHaveLength(2);
  });

  test('ridden back over later take nothing back', () => {
    const there: [number, number][] = [...ride(-31, 200, 0), ...ride(200, -100, 3), ...ride(-100, 40, 0)];
    expect(found(there)).toHaveLength(2);
  });

  test('by one wild fix are none', () => {
    const wild = ride(-300, -100, 0);
    wild[30] = [80, 1];
    expect(found(wild)).toEqual([]);
  });
});
