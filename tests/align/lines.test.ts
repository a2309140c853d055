import { describe, expect, test } from 'vitest';
import { circuitOf, comb, figureEight, rounded } from './courses.ts';
import { accountOf, type Log, laid, logOf, stationErrors, without } from './laidLog.ts';
import { simulated } from './simulated.ts';

// Truth throughout: the simulator's own station at every row and its own gate crossings, never the code under test.

const courses = {
  'four bends': { course: rounded(), halfWidthM: 6 },
  'a figure of eight': { course: figureEight(), halfWidthM: 6 },
  'two hairpins with limbs 8 m apart': { course: comb(), halfWidthM: 3.5 },
};

/** Largest error of a lap time, s. */
function lapTimeError(run: ReturnType<typeof laid>, timesS: readonly number[]): number {
  return Math.max(...timesS.map((t, k) => Math.abs((run.aligned.get(k + 1)?.timeS ?? Number.NaN) - t)));
}

const shifted = (log: Log, eastM: number, northM: number): Log => ({
  ...log,
  rows: {
    ...log.rows,
    east: log.rows['east']!.map((v) => v + eastM),
    north: log.rows['north']!.map((v) => v + northM),
  },
});

describe.each(Object.entries(courses))('on %s', (_, { course, halfWidthM }) => {
  const circuit = circuitOf(course, 0, halfWidthM);
  const exact = simulated(course);

  test('exact logs give exact places: 5 mm, lap times 0.1 ms', () => {
    const run = laid(logOf(exact), circuit);
    const errors = stationErrors(run);
    expect(errors.maxM).toBeLessThan(0.005);
    expect(errors.lost).toBe(0);
    expect(lapTimeError(run, exact.truth.lapTimesS)).toBeLessThan(1e-4);
    expect([...run.aligned.values()].flatMap(({ reasons }) => reasons)).toEqual([]);
  });

  test('without a speed channel the same holds within 20 mm and 0.1 ms', () => {
    const run = laid(without(logOf(exact), 'speed'), circuit);
    expect(stationErrors(run).maxM).toBeLessThan(0.02);
    expect(lapTimeError(run, exact.truth.lapTimesS)).toBeLessThan(1e-4);
    expect(run.laps.map(({ kind }) => kind)).toEqual(['out', 'flying', 'flying', 'in']);
  });

  test('a metre of position noise leaves the median within 0.3 m, the worst within 1.5 m, and no limb is mistaken', () => {
    const noisy = simulated(course, { positionNoiseM: 1 });
    const run = laid(logOf(noisy), circuit, { position: { sigmaM: 1 } });
    const errors = stationErrors(run);
    expect(errors.medianM).toBeLessThan(0.3);
    expect(errors.maxM).toBeLessThan(1.5);
    expect(run.run.path.restarts).toEqual([]);
    expect(accountOf(run)['used']).toBeGreaterThan(0.99 * accountOf(run)['rows']!);
    // Two crossings of a gate, each good to a metre at about 40 m/s before smoothing.
    expect(lapTimeError(run, noisy.truth.lapTimesS)).toBeLessThan(0.1);
  });
});

describe('limbs 8 m apart', () => {
  const { course, halfWidthM } = courses['two hairpins with limbs 8 m apart'];
  const circuit = circuitOf(course, 0, halfWidthM);
  const noisy = simulated(course, { positionNoiseM: 1 });

  // A constant error moves stations by its part along the line, at most its size; in a hairpin of 4 m radius by more.
  test.each([
    [0, 4],
    [0, -4],
    [4, 0],
    [-3, 3],
  ])('are not mistaken for each other where positions are %i m east and %i m north of the truth', (east, north) => {
    const run = laid(shifted(logOf(noisy), east, north), circuit, { position: { sigmaM: 2 } });
    const errors = stationErrors(run);
    expect(errors.maxM).toBeLessThan(9);
    expect(errors.medianM).toBeLessThan(Math.abs(east) + 0.5);
    expect(run.run.path.restarts).toEqual([]);
    expect(errors.lost).toBe(0);
  });

  test('stay apart with a slow receiver of 2.5 m', () => {
    const coarse = simulated(course, { rateHz: 10, positionNoiseM: 2.5 });
    const run = laid(logOf(coarse), circuit, { position: { sigmaM: 2.5 } });
    const errors = stationErrors(run);
    expect(errors.maxM).toBeLessThan(5);
    expect(run.run.path.restarts).toEqual([]);
  });
});

test('a circuit whose gate stands where the figure of eight crosses itself is timed in one direction only', () => {
  const { course } = courses['a figure of eight'];
  // Station of the crossing: half way from one tip to the other, a quarter of the lemniscate.
  const gateM = course.lengthM / 4;
  const circuit = circuitOf(course, gateM, 6);
  const run = simulated(course, {}, { end: 600, laps: 2 });
  const found = laid(logOf(run), circuit);
  const times = found.laps.filter(({ fromGate }) => fromGate).map(({ startS }) => startS);
  const truth = [1, 2, 3].map((lap) => run.truth.timeAtStation(lap, gateM));
  expect(times).toHaveLength(3);
  times.forEach((t, k) => void expect(Math.abs(t - truth[k]!)).toBeLessThan(0.002));
});
