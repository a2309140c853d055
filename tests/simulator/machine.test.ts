import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { type Build, frontLiftMps2, G, leanOf, rearFrictionMps2, rearLiftMps2, roadMachine } from './machine.ts';
import { saltmarsh } from './saltmarsh.ts';
import { type Ground, type Handling, speedProfile } from './speedProfile.ts';

const FOLDER = new URL('../../../shared/reference/e-physics/', import.meta.url);
const present = existsSync(FOLDER);
type Numbers = Readonly<Record<string, number>>;
const cases = (name: string) =>
  present
    ? (JSON.parse(readFileSync(new URL(name, FOLDER), 'utf8')).cases as { id: string; in: Numbers; out: Numbers }[])
    : [];

const buildOf = (of: Numbers): Build => ({
  massKg: of['mass_kg'] ?? 1,
  wheelbaseM: of['wheelbase_m']!,
  rearToMassM: of['rear_contact_to_cg_m']!,
  heightM: of['cg_height_m']!,
  dragHeightM: of['drag_height_m'] ?? 0,
  dragKgPerM: of['k_kg_per_m'] ?? 0,
});

// moment balances; tolerance of the reference files
describe.skipIf(!present)('e-physics/wheel-lift.json', () => {
  test.each(cases('wheel-lift.json'))('$id', ({ in: given, out }) => {
    const build = buildOf(given);
    expect(rearLiftMps2(build, 0) / out['rear_lift_decel_mps2']!).toBeCloseTo(1, 12);
    expect(frontLiftMps2(build, 0) / out['front_lift_accel_mps2']!).toBeCloseTo(1, 12);
    expect(rearFrictionMps2(build, given['friction']!) / out['rear_friction_accel_mps2']!).toBeCloseTo(1, 12);
  });
});

describe.skipIf(!present)('e-physics/wheel-lift-drag.json', () => {
  test.each(cases('wheel-lift-drag.json'))('$id', ({ in: given, out }) => {
    const build = buildOf(given);
    expect(rearLiftMps2(build, given['speed_mps']!) / out['rear_lift_decel_mps2']!).toBeCloseTo(1, 12);
    expect(frontLiftMps2(build, given['speed_mps']!) / out['front_lift_accel_mps2']!).toBeCloseTo(1, 12);
  });
});

describe.skipIf(!present)('e-physics/lean-tyre-width.json', () => {
  test.each(cases('lean-tyre-width.json'))('$id', ({ in: given, out }) => {
    const lateral = given['speed_mps']! ** 2 / given['radius_m']!;
    const tyreRatio = given['tyre_crown_radius_m']! / given['cg_height_upright_m']!;
    const lean = leanOf({ ...roadMachine(80, 0), tyreRatio }, lateral, G);
    expect((lean * 180) / Math.PI).toBeCloseTo(out['lean_deg']!, 9);
  });
});

/** A path of one curvature, ridden at full use from one speed to another. */
function ridden(curvature: number, machine: ReturnType<typeof roadMachine>, startMps: number, endMps: number) {
  const [n, stepM] = [1201, 0.25];
  const fill = (value: number) => new Float64Array(n).fill(value);
  const ground: Ground = {
    stepM,
    pathPerStation: fill(1),
    curvature: fill(curvature),
    curvatureSlope: fill(0),
    grade: fill(0),
    gradeSlope: fill(0),
  };
  const how: Handling = {
    gripUse: fill(1),
    brakeUse: fill(1),
    driveUse: fill(1),
    brakeBlend: fill(2),
    rollRateRadps: fill(Number.POSITIVE_INFINITY),
    capMps: fill(200),
    rampS: fill(0),
    shiftAt: fill(1),
    shiftS: 0,
    entryS: 0.3,
    downS: 0.3,
    smoothS: 0,
    bends: [],
    startMps,
    endMps,
  };
  const { energy } = speedProfile(machine, ground, how);
  return {
    speedMps: energy.map((e) => Math.sqrt(2 * e)),
    accMps2: (i: number) => (energy[i + 1]! - energy[i - 1]!) / (2 * stepM),
  };
}

// friction ellipse: (a_long / limit)^2 + (v^2 k / a_lat)^2 = 1 at every node where the brakes decide
test.each(present ? cases('friction-ellipse.json').filter(({ out }) => out['ax_available_mps2'] !== undefined) : [])(
  'braking in a bend leaves what the ellipse leaves: $id',
  ({ in: given, out }) => {
    const machine = {
      ...roadMachine(80, 0),
      lateralMps2: given['ay_max_mps2']!,
      decelerationMps2: () => given['ax_max_mps2']!,
      rollingMps2: 0,
      dragKgPerM: 0,
    };
    // the bend in which 30 m/s takes the lateral acceleration of the case
    const { speedMps, accMps2 } = ridden(given['ay_mps2']! / 900, machine, 200, 25);
    const at = speedMps.findLastIndex((v) => v >= 30);
    if (at < 1) expect(out['ax_available_mps2']).toBeLessThan(2);
    else expect(-accMps2(at)).toBeCloseTo(out['ax_available_mps2']!, 1);
  },
);

describe('the road machine', () => {
  const machine = roadMachine(80, 0);

  test('brakes by what lifts the rear wheel, and on a wet road by what the tyre holds', () => {
    // (p - b) / h = 0.775 / 0.68; friction 1.42 less three tenths
    expect(machine.decelerationMps2(60) / G).toBeCloseTo(0.775 / 0.68, 9);
    expect(roadMachine(80, 0, 0.7).decelerationMps2(60) / G).toBeCloseTo(1.42 * 0.7, 9);
  });

  test('stops from 40 m/s in v^2 / 2a', () => {
    const { speedMps } = ridden(0, machine, 200, 0);
    const from = speedMps.findLastIndex((v) => v >= 40);
    expect((speedMps.length - 1 - from) * 0.25).toBeCloseTo(40 ** 2 / (2 * G * (0.775 / 0.68)), 0);
  });

  test('does not lift the front wheel, however much it could push', () => {
    const strong = { ...machine, driveN: () => 1e5 };
    const { speedMps, accMps2 } = ridden(0, strong, 20, 200);
    // net of drag at height 0.66 over 0.68: (g b - D h_a / m) / h, less what rolls
    for (const i of [40, 200, 600, 1000]) {
      const drag = (0.305 * speedMps[i]! ** 2) / 285;
      expect(accMps2(i)).toBeCloseTo((G * 0.655 - drag * 0.66) / 0.68 - 0.15, 2);
    }
  });
});

describe('the circuit of the demo', () => {
  const { course, bends, halfWidthM } = saltmarsh();

  test('has a hairpin, a chicane, a double apex, a flat kink and a climb', () => {
    const turn = (name: string) => {
      const bend = bends.find((b) => b.name === name)!;
      const at = (m: number) => course.heading[Math.round(m / course.stepM)]!;
      return ((at(bend.toM) - at(bend.fromM)) * 180) / Math.PI;
    };
    expect(bends.length).toBeGreaterThanOrEqual(10);
    expect(Math.abs(turn('3'))).toBeGreaterThan(170);
    expect(Math.abs(turn('5'))).toBeLessThan(20);
    expect(turn('7') * turn('8')).toBeLessThan(0);
    expect(bends[7]!.fromM - bends[6]!.toM).toBeLessThan(15);
    const six = bends[5]!;
    const tight = (m: number) => Math.abs(course.curvature[Math.round(m / course.stepM)]!);
    const middle = (six.fromM + six.toM) / 2;
    expect(tight(middle)).toBeLessThan(0.5 * tight(six.fromM + 30));
    expect(tight(six.toM - 30)).toBeGreaterThan(2 * tight(middle));
    const altitude = [...course.altitude];
    expect(Math.max(...altitude) - Math.min(...altitude)).toBeGreaterThan(15);
  });

  test('has limbs whose edges come within four metres and do not touch', () => {
    let nearest = Number.POSITIVE_INFINITY;
    for (let i = 0; i < course.count; i += 8)
      for (let k = i; k < course.count; k += 8) {
        const along = (k - i) * course.stepM;
        if (Math.min(along, course.lengthM - along) < 120) continue;
        nearest = Math.min(nearest, Math.hypot(course.x[i]! - course.x[k]!, course.y[i]! - course.y[k]!));
      }
    expect(nearest - 2 * halfWidthM).toBeGreaterThan(1);
    expect(nearest - 2 * halfWidthM).toBeLessThan(4);
  });
});
