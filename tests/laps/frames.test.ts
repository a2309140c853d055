import { describe, expect, test } from 'vitest';
import { impossibleLean } from '../../src/laps/believableLean.ts';
import { levelForces, levelYawRate, leverArm } from '../../src/laps/frames.ts';

const DEG = Math.PI / 180;
const G = 9.80665;

describe('the arm of an antenna', () => {
  test('1 m up sits 0.82 m beside the ground point at 55° of lean, on the side of the lean', () => {
    // Method, section 0; sin 55° = 0.819. Roll positive leans right, and left is positive.
    expect(leverArm([0, 0, 1], 55 * DEG, 0)[1]).toBeCloseTo(-0.8192, 4);
    expect(leverArm([0, 0, 1], -55 * DEG, 0)[1]).toBeCloseTo(0.8192, 4);
    expect(leverArm([0, 0, 1], 55 * DEG, 0)[0]).toBeCloseTo(0, 12);
  });

  test('upright is as it was measured', () => {
    expect(leverArm([0.3, -0.2, 1], 0, 0)).toEqual([0.3, -0.2]);
  });

  test('nose down moves what is high forward', () => {
    expect(leverArm([0, 0, 1], 0, 5 * DEG)[0]).toBeCloseTo(Math.sin(5 * DEG), 12);
    expect(leverArm([1, 0, 0], 0, 5 * DEG)[0]).toBeCloseTo(Math.cos(5 * DEG), 12);
  });
});

describe('a sensor fixed to the machine', () => {
  test('reads no lateral force in a steady bend at 55°, levelled v² times curvature', () => {
    // Balance: tan(lean) = lateral / g. In the machine's own axes all of the force points down through the wheels.
    const lateral = G * Math.tan(55 * DEG);
    const [long, lat, vert] = [[0], [0], [Math.hypot(G, lateral)]].map((v) => Float64Array.from(v)) as [
      Float64Array,
      Float64Array,
      Float64Array,
    ];
    // Left bend: force to the left, roll below zero.
    levelForces(long, lat, vert, Float64Array.of(-55 * DEG), null);
    expect(lat[0]).toBeCloseTo(lateral, 9);
    expect(vert[0]).toBeCloseTo(G, 9);
    expect(long[0]).toBe(0);
  });

  test('feels gravity along when braking hard with the nose down', () => {
    // Standing, nose 4° down: +g upward in level axes is g·sin 4° backward... along the machine it reads -g·sin 4°.
    const [long, lat, vert] = [[-G * Math.sin(4 * DEG)], [0], [G * Math.cos(4 * DEG)]].map((v) =>
      Float64Array.from(v),
    ) as [Float64Array, Float64Array, Float64Array];
    levelForces(long, lat, vert, Float64Array.of(0), Float64Array.of(4 * DEG));
    expect(long[0]).toBeCloseTo(0, 9);
    expect(vert[0]).toBeCloseTo(G, 9);
  });

  test('reads the yaw rate times cos(lean): 0.57 at 55°', () => {
    // Method, section 0: cos 55° = 0.574.
    const rate = Float64Array.of(0.57358 * 0.5, 0.5, 0.1);
    levelYawRate(rate, Float64Array.of(-55 * DEG, 0, 85 * DEG));
    expect(rate[0]).toBeCloseTo(0.5, 4);
    expect(rate[1]).toBe(0.5);
    expect(rate[2]).toBeNaN();
  });
});

describe('a roll channel that cannot be a lean', () => {
  const deg = Math.PI / 180;
  test('is known by more than one row in a hundred beyond 70°', () => {
    const wild = Float64Array.from({ length: 100 }, (_, i) => (i < 2 ? 134 : 40) * deg);
    expect(impossibleLean(wild)).toBeCloseTo(134 * deg, 12);
  });
  test('a fall, a racing lean and missing rows are believed', () => {
    expect(impossibleLean(Float64Array.from({ length: 200 }, (_, i) => (i === 0 ? 90 : 63) * deg))).toBeNull();
    expect(impossibleLean(new Float64Array(5).fill(Number.NaN))).toBeNull();
  });
});
