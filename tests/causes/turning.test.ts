import { describe, expect, test } from 'vitest';
import { riddenPath } from '../../src/causes/riddenPath.ts';
import { circuits } from './generator/courses.ts';
import { referenceWay, rideOf } from './generator/laps.ts';
import { type Columns, type Logger, logOf, PERFECT } from './generator/sense.ts';
import { circuitOf, layLap } from './throughPipeline.ts';

// Curvature of what was ridden, against the path that the generator rode: it shares no code with the product.

const ground = circuits()[0]!;
const { way } = referenceWay(ground);
const ride = rideOf(ground, way);
const circuit = circuitOf(ground.course);
const logger: Logger = {
  ...PERFECT,
  armM: [0.1, 0, 0.9],
  toldArmM: [0.1, 0, 0.9],
  latencyS: 0.03,
  toldLatencyS: 0.03,
  inertialLagS: 0.005,
  noise: 1,
};

/** Root mean square of the error of the curvature over all that bends tighter than 100 m of radius, 1/m. */
function error(change: (columns: Columns) => Columns, seed = 'a'): number {
  const { stationM, curvaturePerM } = riddenPath(
    layLap({ columns: change(logOf(ride, logger, seed)), logger }, circuit),
  );
  const scale = ground.course.lengthM / circuit.lengthM;
  let [sum, count] = [0, 0];
  stationM.forEach((s, i) => {
    if (s < 0 || s >= circuit.lengthM) return;
    const truth = ride.path.curvature(s * scale);
    if (Math.abs(truth) < 0.01) return;
    sum += (curvaturePerM[i]! - truth) ** 2;
    count++;
  });
  expect(count).toBeGreaterThan(100);
  return Math.sqrt(sum / count);
}

const rates = (change: (rate: number, i: number) => number) => (columns: Columns) => ({
  ...columns,
  yaw_rate: columns['yaw_rate']!.map(change),
});
const without = ({ yaw_rate: _, ...others }: Columns): Columns => others;

describe('a rate of turn', () => {
  test('takes two fifths off the error of the curvature, whatever the noise', () => {
    for (const seed of ['a', 'b', 'c']) expect(error((c) => c, seed)).toBeLessThan(0.6 * error(without, seed));
  });

  test('may be off by a constant and by its scale, as gyroscopes are', () => {
    const own = error((c) => c);
    expect(error(rates((w) => w + 0.01))).toBeLessThan(1.2 * own);
    expect(error(rates((w) => 1.05 * w))).toBeLessThan(1.2 * own);
  });

  test('is left out where it does not turn as the positions do', () => {
    const own = error(without);
    expect(error(rates((w) => -w))).toBe(own);
    expect(error(rates((w) => 2 * w))).toBe(own);
    expect(error(rates((w, i) => w + 0.8 * Math.sin(i / 40)))).toBe(own);
    expect(error(rates(() => 0))).toBe(own);
  });
});
