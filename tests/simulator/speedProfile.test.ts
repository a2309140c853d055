import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { courseFromPieces } from './course.ts';
import { G, type Machine } from './machine.ts';
import { plainRider } from './plainRider.ts';
import { ride } from './ride.ts';
import { type Ground, type Handling, speedProfile } from './speedProfile.ts';

const FOLDER = new URL('../../../shared/reference/d-lap/', import.meta.url);
const present = existsSync(FOLDER);
const cases = (name: string) =>
  present ? (JSON.parse(readFileSync(new URL(name, FOLDER), 'utf8')).cases as Case[]) : [];

interface Case {
  readonly id: string;
  readonly kind?: string;
  readonly in: Readonly<Record<string, number>>;
  readonly out: Readonly<Record<string, number>>;
}

/** A machine with constant limits and no engine braking. */
function simple(of: {
  lateral: number;
  drive: (v: number) => number;
  decelerate: (v: number) => number;
  drag?: number;
}): Machine {
  return {
    massKg: 1,
    dragKgPerM: of.drag ?? 0,
    rollingMps2: 0,
    lateralMps2: of.lateral,
    decelerationMps2: of.decelerate,
    tractionMps2: () => 1e6,
    gearMps: [1e4],
    limitRadps: 1000,
    driveN: of.drive,
    engineBrakeMps2: () => 0,
    tyreRatio: 0,
    bodyLeanRad: 0,
  };
}

function level(curvature: Float64Array, stepM: number): Ground {
  const zero = new Float64Array(curvature.length);
  return { stepM, pathPerStation: zero.map(() => 1), curvature, curvatureSlope: zero, grade: zero, gradeSlope: zero };
}

function all(n: number, startMps: number, endMps: number): Handling {
  const one = new Float64Array(n).fill(1);
  return {
    gripUse: one,
    brakeUse: one,
    driveUse: one,
    brakeBlend: one.map(() => 2),
    rollRateRadps: one.map(() => Number.POSITIVE_INFINITY),
    capMps: one.map(() => 1000),
    rampS: one.map(() => 0),
    shiftAt: one,
    shiftS: 0,
    entryS: 0.3,
    downS: 0.25,
    smoothS: 0,
    bends: [],
    startMps,
    endMps,
  };
}

const seconds = (energy: Float64Array, stepM: number) =>
  energy.slice(1).reduce((sum, e, i) => sum + (2 * stepM) / (Math.sqrt(2 * e) + Math.sqrt(2 * energy[i]!)), 0);

test('a circle is ridden in the closed form 2 pi R / sqrt(a R)', () => {
  const [radius, lateral] = [80, 11];
  const course = courseFromPieces([{ lengthM: 2 * Math.PI * radius, from: 1 / radius, to: 1 / radius }]);
  const rider = {
    ...plainRider(course),
    machine: simple({ lateral, drive: () => 5, decelerate: () => 9 }),
    smoothS: 0,
  };
  const style = { ...rider.style, gripUse: 1, rollRateDegps: Number.POSITIVE_INFINITY };
  const run = ride({
    course,
    bends: [],
    rider: { ...rider, style },
    laps: 3,
    start: 'rolling',
    end: 'rolling',
    startMps: 50,
    seed: 'c',
  });
  for (const lapS of run.lapTimesS) expect(lapS).toBeCloseTo((2 * Math.PI * radius) / Math.sqrt(lateral * radius), 6);
});

test('a straight between two speeds is ridden bang-bang: v1 and v2 meet where energies do', () => {
  // 20 m/s to 15 m/s over 400 m at 5 forward and 10 backward: closed form of constant accelerations
  const [v0, v1, length, forward, backward] = [20, 15, 400, 5, 10];
  const top = Math.sqrt((2 * length + v0 ** 2 / forward + v1 ** 2 / backward) / (1 / forward + 1 / backward));
  const expected = (top - v0) / forward + (top - v1) / backward;
  const n = 1601;
  const { energy } = speedProfile(
    simple({ lateral: 10, drive: () => forward, decelerate: () => backward }),
    level(new Float64Array(n), length / (n - 1)),
    all(n, v0, v1),
  );
  expect(seconds(energy, length / (n - 1))).toBeCloseTo(expected, 3);
  expect(Math.sqrt(2 * Math.max(...energy))).toBeCloseTo(top, 1);
});

// tolerances as written in the reference files
describe.skipIf(!present)('d-lap/quasi-steady-oval.json', () => {
  test.each(cases('quasi-steady-oval.json'))('$id', (c) => {
    const {
      straight_m,
      radius_m,
      lateral_mps2,
      mass_kg = 1,
      k_kg_per_m = 0,
      drive_force_N,
      brake_force_N,
      accel_mps2 = 0,
      brake_mps2 = 0,
    } = c.in;
    const { lap_time_s = 0, top_speed_reached_mps = 0 } = c.out;
    const drive = (drive_force_N ?? accel_mps2 * mass_kg) / mass_kg;
    const brake = (brake_force_N ?? brake_mps2 * mass_kg) / mass_kg;
    const drag = k_kg_per_m / mass_kg;
    const machine = simple({
      lateral: lateral_mps2!,
      drive: () => drive,
      decelerate: (v) => brake + drag * v * v,
      drag,
    });
    const lap = (stepM: number) => {
      const n = Math.round(straight_m! / stepM) + 1;
      const step = straight_m! / (n - 1);
      const corner = Math.sqrt(lateral_mps2! * radius_m!);
      const { energy } = speedProfile(machine, level(new Float64Array(n), step), all(n, corner, corner));
      const topMps = Math.sqrt(2 * energy.reduce((a, b) => Math.max(a, b)));
      return { lapS: 2 * seconds(energy, step) + (2 * Math.PI * radius_m!) / corner, topMps };
    };
    const fine = lap(0.25);
    expect(Math.abs(fine.lapS - lap_time_s)).toBeLessThan(0.005);
    expect(Math.abs(fine.topMps - top_speed_reached_mps)).toBeLessThan(0.1);
  });
});

describe.skipIf(!present)('d-lap/drag-and-power.json', () => {
  test.each(cases('drag-and-power.json'))('$id: $kind', (c) => {
    const {
      mass_kg = 1,
      force_N = 0,
      power_W = 0,
      brake_force_N = 0,
      k_kg_per_m = 0,
      v0_mps = 0,
      distance_m = 0,
    } = c.in;
    const { v1_mps = 0, time_s = 0 } = c.out;
    const drag = k_kg_per_m / mass_kg;
    const n = Math.round(distance_m / 0.25) + 1;
    const step = distance_m / (n - 1);
    const machine = simple({
      lateral: 10,
      drive: (v) => (power_W > 0 ? power_W / v : force_N) / mass_kg,
      decelerate: (v) => brake_force_N / mass_kg + drag * v * v,
      drag,
    });
    // under brakes the pass runs backward from the end speed, so the speed at the beginning is what is checked
    const braking = brake_force_N > 0;
    const how = braking ? all(n, 1000, v1_mps) : all(n, v0_mps, 1000);
    const { energy } = speedProfile(machine, level(new Float64Array(n), step), how);
    const [found, expected] = braking ? [energy[0]!, v0_mps] : [energy[n - 1]!, v1_mps];
    expect(Math.sqrt(2 * found) / expected).toBeCloseTo(1, 4);
    expect(seconds(energy, step) / time_s).toBeCloseTo(1, 4);
  });
});

test('grip in a dip is what weight and the dip add up to', () => {
  // v^2 k = mu (g + v^2 c), solved for v
  const [mu, k, c, n] = [1.2, 1 / 60, 1 / 900, 50];
  const ground = { ...level(new Float64Array(n).fill(k), 1), gradeSlope: new Float64Array(n).fill(c) };
  const machine = simple({ lateral: mu * G, drive: () => 5, decelerate: () => 9 });
  const { energy } = speedProfile(machine, ground, all(n, 1000, 1000));
  expect(Math.sqrt(2 * energy[25]!)).toBeCloseTo(Math.sqrt((mu * G) / (k - mu * c)), 6);
});
