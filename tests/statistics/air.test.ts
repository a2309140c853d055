import { describe, expect, test } from 'vitest';
import { type Air, airCost, airCosts, airDensity, STANDARD_AIR } from '../../src/statistics/air.ts';
import { readCheck, withReference } from '../reference/folder.ts';

withReference('density of air: e-physics/air-density.json', () => {
  const { cases } = readCheck('e-physics/air-density.json');
  test.each(cases)('$id', ({ in: input, out }) => {
    const density = airDensity(input['pressure_Pa']!, input['temperature_K']!);
    expect(Math.abs(density / out['rho_dry_kg_m3']! - 1)).toBeLessThan(1e-9);
  });
});

test('damp air is lighter', () => {
  // Saturated at 20 °C and 101325 Pa: 1.194 kg/m³ (steam tables: vapour pressure 2339 Pa, 0.0173 kg/m³ of vapour).
  expect(airDensity(101325, 293.15, 1)).toBeCloseTo(1.194, 3);
});

const MACHINE = { massKg: 250, dragAreaM2: 0.4 };
const FORCE_N = 900;
const STEP_M = 1;

/**
 * A straight ridden with a constant force from 30 m/s, then braked at 9 m/s² down to 30 m/s at 1000 m; forces integrated
 * in steps of a centimetre, with the braking point found from behind.
 */
function straight(air: Air, headingRad: number) {
  const density = air.densityKgpm3;
  const head = air.windMps * Math.cos(Math.PI / 2 - air.windFromRad - headingRad);
  const end = 1000;
  const fine = 100;
  const brake = (s: number): number => 30 ** 2 + 2 * 9 * (end - s);
  const speed = new Float64Array(end / STEP_M + 1);
  const pulling = new Uint8Array(end / STEP_M + 1);
  let square = 30 ** 2;
  let timeS = 0;
  for (let k = 0; k < end * fine; k++) {
    const s = k / fine;
    const v = Math.sqrt(square);
    if (k % fine === 0) {
      speed[k / fine] = v;
      pulling[k / fine] = square < brake(s) - 1e-9 ? 1 : 0;
    }
    const force = FORCE_N - 0.5 * density * MACHINE.dragAreaM2 * (v + head) * Math.abs(v + head);
    square = Math.min(square + (2 * force) / MACHINE.massKg / fine, brake(s + 1 / fine));
    timeS += 2 / fine / (v + Math.sqrt(square));
  }
  speed[end / STEP_M] = 30;
  const lap = { stepM: STEP_M, speedMps: speed, headingRad: new Float64Array(speed.length).fill(headingRad), pulling };
  return { lap, timeS };
}

describe('what the air cost', () => {
  const calm = straight(STANDARD_AIR, 0);
  const east = Math.PI / 2;

  test.each([
    ['wind from ahead', { ...STANDARD_AIR, windMps: 5, windFromRad: east }, 0],
    ['wind from behind', { ...STANDARD_AIR, windMps: 5, windFromRad: -east }, 0],
    ['wind from the side', { ...STANDARD_AIR, windMps: 5, windFromRad: 0 }, 0],
    ['thin air', { ...STANDARD_AIR, densityKgpm3: 1.1 }, 0],
    ['wind from the north, riding north', { ...STANDARD_AIR, windMps: 4, windFromRad: 0 }, Math.PI / 2],
  ])('%s: the lap in still standard air comes back within 3 ms', (name, air, headingRad) => {
    const { lap, timeS } = straight(air, headingRad);
    const cost = airCost(lap, MACHINE, air);
    expect(Math.abs(timeS - cost - calm.timeS)).toBeLessThan(3e-3);
    if (name === 'wind from the side') expect(Math.abs(cost)).toBeLessThan(1e-9);
    else expect(Math.abs(timeS - calm.timeS)).toBeGreaterThan(0.05);
  });

  test('two straights one behind the other cost what each costs, each in its own place', () => {
    const air = { ...STANDARD_AIR, windMps: 5, windFromRad: east };
    const { lap } = straight(air, 0);
    const twice = {
      stepM: lap.stepM,
      speedMps: Float64Array.of(...lap.speedMps, ...lap.speedMps),
      headingRad: Float64Array.of(...lap.headingRad, ...lap.headingRad),
      pulling: Uint8Array.of(...lap.pulling, ...lap.pulling),
    };
    const costs = airCosts(twice, MACHINE, air);
    const n = lap.speedMps.length;
    const sum = (from: number, to: number) => costs.slice(from, to).reduce((s, v) => s + v, 0);
    expect(sum(0, n)).toBeCloseTo(airCost(lap, MACHINE, air), 9);
    expect(sum(n, 2 * n)).toBeCloseTo(airCost(lap, MACHINE, air), 9);
  });

  test('the same air costs nothing, and neither does air where nothing pulls', () => {
    const air = { ...STANDARD_AIR, windMps: 5, windFromRad: 1 };
    expect(Math.abs(airCost(calm.lap, MACHINE, air, air))).toBeLessThan(1e-9);
    expect(airCost({ ...calm.lap, pulling: new Uint8Array(calm.lap.pulling.length) }, MACHINE, air)).toBe(0);
  });
});
