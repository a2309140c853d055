import { expect, test } from 'vitest';
import type { Envelope } from '../../src/causes/envelope.ts';
import type { Ingredients, WindowPlan } from '../../src/causes/ingredients.ts';
import { recompose, timeOf } from '../../src/causes/recompose.ts';
import { readCheck, withReference } from '../reference/folder.ts';

// The engine that puts mixtures together, against closed forms: v² = v₀² + 2as, v = √(a_y R), and m v dv/ds = F(v).

const FREE: Envelope = {
  tractionMps2: 1,
  powerWpkg: 1e12,
  brakingMps2: 1,
  lateralMps2: 1e12,
  exponent: 2,
  floorShare: 1,
  dragPerM: 0,
  rollingMps2: 0,
};

interface Course {
  readonly envelope: Envelope;
  readonly stepM: number;
  readonly lengthM: number;
  readonly v0: number;
  readonly own?: Partial<Ingredients>;
  readonly plan?: Partial<WindowPlan>;
}

function ridden({ envelope, stepM, lengthM, v0, own, plan }: Course): { timeS: number; energy: Float64Array } {
  const cells = Math.round(lengthM / stepM);
  const even = (value: number): Float64Array => new Float64Array(cells).fill(value);
  const ingredients: Ingredients = {
    energy0: v0 ** 2 / 2,
    pathPerStation: even(1),
    bend: even(0),
    meanBend: 1,
    releaseM: 0,
    modulation: new Float64Array(2),
    decelerationMps2: 1,
    lateralMps2: 1,
    mid: new Float64Array(2),
    pickUpM: 0,
    approachUse: even(1),
    heldUse: 1,
    exitUse: even(1),
    approachShifts: [],
    exitShifts: [],
    powerScale: 1,
    dragPerM: envelope.dragPerM,
    residual: even(0),
    ...own,
  };
  const whole: WindowPlan = {
    mode: 'driven',
    cells,
    stepM,
    above: 0,
    modulationStep: 1,
    anchorsM: [],
    settleM: 0,
    rollM: 0,
    ...plan,
  };
  const energy = new Float64Array(cells);
  recompose(whole, ingredients, envelope, energy);
  return { timeS: timeOf(ingredients, energy, stepM, new Float64Array(cells)), energy };
}

test('a whole circle takes 2πR / √(a_y R), to 1e-6', () => {
  const [radius, lateral] = [60, 11];
  const lengthM = 2 * Math.PI * radius;
  const corner = {
    meanBend: 1 / radius,
    lateralMps2: lateral,
    pickUpM: 2 * lengthM,
    energy0: 1e6,
    decelerationMps2: 10,
    modulation: new Float64Array([0, 1]),
  };
  const { timeS } = ridden({
    envelope: FREE,
    stepM: lengthM / 400,
    lengthM,
    v0: 10,
    own: corner,
    plan: { mode: 'braked' },
  });
  expect(Math.abs(timeS - lengthM / Math.sqrt(lateral * radius))).toBeLessThan(1e-6);
});

withReference('an oval ridden at constant limits', () => {
  // Source: reference check d-lap/quasi-steady-oval (closed forms, DERIVED); its tolerance for a 1 m grid is 0.02 s and
  // must fall with the grid.
  interface Oval {
    straight_m: number;
    radius_m: number;
    lateral_mps2: number;
    accel_mps2?: number;
    brake_mps2?: number;
    mass_kg?: number;
    drive_force_N?: number;
    brake_force_N?: number;
    k_kg_per_m?: number;
  }
  const check = readCheck<Oval>('d-lap/quasi-steady-oval.json');
  const half = (g: Oval, stepM: number): number => {
    const drag = g.mass_kg ? g.k_kg_per_m! / g.mass_kg : 0;
    const brake = g.brake_mps2 ?? g.brake_force_N! / g.mass_kg!;
    const envelope = { ...FREE, tractionMps2: g.accel_mps2 ?? g.drive_force_N! / g.mass_kg!, dragPerM: drag };
    const corner = Math.sqrt(g.lateral_mps2 * g.radius_m);
    const lengthM = g.straight_m + Math.PI * g.radius_m;
    const base = corner ** 2 / 2;
    // Energy above the corner's at a distance before it: dE/ds = −(b + 2cE).
    const above = (d: number): number =>
      drag === 0 ? brake * d : (base + brake / (2 * drag)) * Math.expm1(2 * drag * d);
    return ridden({
      envelope,
      stepM: lengthM / Math.round(lengthM / stepM),
      lengthM,
      v0: corner,
      plan: { mode: 'braked', modulationStep: (brake * g.straight_m) / 400 },
      own: {
        meanBend: 1 / g.radius_m,
        lateralMps2: g.lateral_mps2,
        releaseM: g.straight_m,
        pickUpM: 2 * lengthM,
        decelerationMps2: brake,
        modulation: Float64Array.from({ length: 401 }, (_, i) => above((i * g.straight_m) / 400)),
      },
    }).timeS;
  };
  test.each(check.cases)('$id', ({ in: given, out }) => {
    const exact = out['lap_time_s']! / 2;
    const [coarse, fine] = [4, 1].map((stepM) => Math.abs(half(given as Oval, stepM) - exact));
    expect(2 * fine!).toBeLessThan(0.02);
    expect(fine!).toBeLessThan(Math.max(coarse!, 1e-4));
  });
});

withReference('drive against drag, and at constant power', () => {
  // Source: reference check d-lap/drag-and-power (closed forms, DERIVED); 1e-3 relative for an integrator with 1 m steps.
  interface Drive {
    mass_kg: number;
    force_N?: number;
    power_W?: number;
    k_kg_per_m?: number;
    v0_mps: number;
    distance_m: number;
  }
  const check = readCheck<Drive>('d-lap/drag-and-power.json');
  test.each(check.cases.filter(({ kind }) => !kind!.includes('brake')))('$id $kind', ({ in: given, out }) => {
    const { mass_kg, force_N, power_W, k_kg_per_m, v0_mps, distance_m } = given as unknown as Drive;
    const envelope = {
      ...FREE,
      tractionMps2: force_N ? force_N / mass_kg : 1e12,
      powerWpkg: power_W ? power_W / mass_kg : 1e12,
      dragPerM: (k_kg_per_m ?? 0) / mass_kg,
    };
    const steps: Course = { envelope, stepM: 1, lengthM: distance_m, v0: v0_mps };
    const { timeS } = ridden(steps);
    expect(Math.abs(timeS / out['time_s']! - 1)).toBeLessThan(2e-3);
  });
});
