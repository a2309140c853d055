import { describe, expect, test } from 'vitest';
import { seeded } from '../simulator/seeded.ts';
import { circuitOf, rounded } from './courses.ts';
import { accountOf, type LaidLog, type Log, laid, logOf, stationErrors, without } from './laidLog.ts';
import { simulated } from './simulated.ts';

// Truth throughout: the simulator's own station at every row and its own gate crossings.

const course = rounded();
const circuit = circuitOf(course);
const SIGMA_M = 0.02;
/** Two crossings, each good to sigma over the speed at the gate (about 40 m/s), three standard deviations. */
const LAP_S = (3 * Math.SQRT2 * SIGMA_M) / 40;

function check(run: LaidLog, timesS: readonly number[], maxM: number, lapS = LAP_S): void {
  const errors = stationErrors(run);
  expect(errors.maxM).toBeLessThan(maxM);
  expect(errors.medianM).toBeLessThan(0.01);
  expect(errors.lost).toBe(0);
  timesS.forEach((t, k) => void expect(Math.abs(run.aligned.get(k + 1)!.timeS! - t)).toBeLessThan(lapS));
  const { rows, ...parts } = accountOf(run);
  expect(Object.values(parts).reduce((sum, n) => sum + n, 0)).toBe(rows);
}

const reasonsOf = (run: LaidLog): string[] =>
  [...run.aligned.values()].flatMap((lap) => lap.reasons.map((r) => r.code));

/** Moves runs of fixes off by a distance in a direction of their own. */
function wild(log: Log, every: number, count: number, distanceM: number): { log: Log; moved: number } {
  const east = log.rows['east']!.slice();
  const north = log.rows['north']!.slice();
  let moved = 0;
  for (let i = 37; i < east.length - count - 5; i += every)
    for (let k = 0; k < count; k++, moved++) {
      east[i + k]! += distanceM * Math.cos(i);
      north[i + k]! += distanceM * Math.sin(i);
    }
  return { log: { ...log, rows: { ...log.rows, east, north } }, moved };
}

describe('positions that are held', () => {
  test.each([
    ['5 Hz in a log of 100 Hz', { rateHz: 100, positionHz: 5 }, 0.06],
    ['20 Hz in a log of 100 Hz', { rateHz: 100, positionHz: 20 }, 0.05],
    [
      'a receiver that sticks for 0.3 to 1 s now and then',
      {
        rateHz: 100,
        positionHz: 20,
        stale: [
          [5, 5.3],
          [12, 13],
          [20, 20.6],
          [31, 31.9],
          [50, 50.5],
        ],
      },
      0.06,
    ],
  ] as const)('%s: speed carries between the fixes, only fresh ones count', (_, sensors, maxM) => {
    const sim = simulated(course, { ...sensors, positionNoiseM: SIGMA_M });
    const run = laid(logOf(sim), circuit);
    check(run, sim.truth.lapTimesS, maxM);
    expect(reasonsOf(run)).toEqual([]);
    const fresh = new Set(sim.rows['east']!).size;
    expect(accountOf(run)).toMatchObject({
      used: fresh,
      held: sim.rows['east']!.length - fresh,
      outlier: 0,
      offLine: 0,
    });
  });

  test('without speed, a second of them at 150 km/h is a hole in the log, and the lap says so', () => {
    const sim = simulated(course, { rateHz: 100, positionHz: 20, positionNoiseM: SIGMA_M, stale: [[12, 13]] });
    const run = laid(without(logOf(sim), 'speed'), circuit);
    check(run, sim.truth.lapTimesS, 0.1);
    expect(run.aligned.get(1)!.reasons.map(({ code }) => code)).toEqual(['HOLE']);
    expect(run.aligned.get(2)!.reasons).toEqual([]);
  });
});

describe('wild fixes', () => {
  const sim = simulated(course, { positionNoiseM: SIGMA_M });

  test.each([3, 10, 30, 100, 5000])('single ones %i m off are all set aside, and no other fix is', (distanceM) => {
    const { log, moved } = wild(logOf(sim), 211, 1, distanceM);
    const run = laid(log, circuit);
    check(run, sim.truth.lapTimesS, 0.02);
    const { outlier, offLine } = accountOf(run);
    // At 3 m those that lie along the line may pass for a place on it that the search leaves out; none is believed.
    expect(outlier! + offLine!).toBe(moved);
    expect(reasonsOf(run)).toEqual([]);
    expect(run.laps.map(({ kind }) => kind)).toEqual(['out', 'flying', 'flying', 'in']);
  });

  test.each([10, 30])('single ones %i m off do as little harm without a speed channel', (distanceM) => {
    const run = laid(without(wild(logOf(sim), 211, 1, distanceM).log, 'speed'), circuit);
    check(run, sim.truth.lapTimesS, 0.05);
  });

  test.each([3, 8, 15])('bursts of %i, 8 m off, do not carry the run with them', (count) => {
    const { log, moved } = wild(logOf(sim), 211, count, 8);
    const run = laid(log, circuit);
    check(run, sim.truth.lapTimesS, 0.05);
    const { outlier, offLine, used, rows } = accountOf(run);
    expect(outlier! + offLine!).toBeGreaterThanOrEqual(moved);
    expect(used!).toBeGreaterThan(0.85 * rows!);
  });

  test('one at the gate moves no lap', () => {
    const at = Math.round(sim.truth.crossingsS[1]! * 50);
    for (const row of [at - 1, at, at + 1, at + 2])
      for (const away of [-60, -15, 15, 60]) {
        const log = logOf(sim);
        log.rows['east']![row]! += away;
        const run = laid(log, circuit);
        expect(run.laps).toHaveLength(4);
        check(run, sim.truth.lapTimesS, 0.03);
      }
  });
});

test('a slow drift of the position moves stations as far as it drifts, and lap times by its change over the speed', () => {
  const clean = simulated(course, {}, { laps: 3 });
  const sim = simulated(course, { driftM: 1.5, driftS: 120 }, { laps: 3 });
  const drift = (i: number): number =>
    Math.hypot(sim.rows['east']![i]! - clean.rows['east']![i]!, sim.rows['north']![i]! - clean.rows['north']![i]!);
  const most = Math.max(...sim.rows['east']!.map((_, i) => drift(i)));
  const run = laid(logOf(sim), circuit, { position: { sigmaM: 1.5 } });
  expect(most).toBeGreaterThan(2);
  expect(stationErrors(run).maxM).toBeLessThan(1.05 * most);
  expect(accountOf(run)).toMatchObject({ outlier: 0, offLine: 0 });
  // The gate is ridden eastward: what the drift does to a crossing is its part to the east. It walks by 0.1 m within the
  // window that ties speed to position, at 40 m/s and for two crossings 3.5 ms, one standard deviation.
  const early = sim.truth.crossingsS.map((t) => {
    const i = Math.round(t * 50);
    return (sim.rows['east']![i]! - clean.rows['east']![i]!) / clean.rows['speed']![i]!;
  });
  sim.truth.lapTimesS.forEach((t, k) => {
    const wanted = t - (early[k + 1]! - early[k]!);
    expect(Math.abs(run.aligned.get(k + 1)!.timeS! - wanted)).toBeLessThan(0.01);
  });
});

describe('a speed channel that is wrong', () => {
  test('by 2 % and late by 100 ms: its error within the window is all that is left', () => {
    const sim = simulated(course, { rateHz: 100, positionNoiseM: SIGMA_M });
    const log = logOf(sim);
    const speed = log.rows['speed']!;
    log.rows['speed'] = speed.map((_, i) => 1.02 * speed[Math.max(0, i - 10)]!);
    const run = laid(log, circuit);
    check(run, sim.truth.lapTimesS, 0.1);
    expect(accountOf(run)).toMatchObject({ outlier: 0, offLine: 0 });
    expect(run.run.speedSigmaMps!).toBeGreaterThan(0.5);
  });

  test('or given in one row of four: the rows that carry it are enough', () => {
    const sim = simulated(course, { rateHz: 100, positionNoiseM: SIGMA_M });
    const log = logOf(sim);
    log.rows['speed'] = log.rows['speed']!.map((v, i) => (i % 4 === 0 ? v : Number.NaN));
    const run = laid(log, circuit);
    check(run, sim.truth.lapTimesS, 0.03);
    expect(reasonsOf(run)).toEqual([]);
  });

  test('or all but empty: positions alone carry the run', () => {
    const sim = simulated(course, { positionNoiseM: SIGMA_M });
    const log = logOf(sim);
    log.rows['speed'] = log.rows['speed']!.map((v, i) => (i % 50 === 0 ? v : Number.NaN));
    const run = laid(log, circuit);
    check(run, sim.truth.lapTimesS, 0.05);
    expect(run.run.row[0]).toBe(-1);
    expect(run.laps.map(({ kind }) => kind)).toEqual(['out', 'flying', 'flying', 'in']);
  });
});

describe('an antenna off the ground point', () => {
  const arm = [0.3, 0.1, 0.95] as const;
  const sim = simulated(course, {
    rateHz: 100,
    positionHz: 20,
    positionNoiseM: SIGMA_M,
    latencyS: 0.04,
    antenna: arm,
    axes: 'body',
  });

  test('and late: declared, it is as if it sat on the ground', () => {
    const run = laid(logOf(sim), circuit, { position: { latencyS: 0.04, antennaM: arm }, axes: 'body' });
    check(run, sim.truth.lapTimesS, 0.06);
    const offsets = run.run.offsetM.map((n, i) => Math.abs(n - sim.truth.offsetOfRow[run.run.row[i]!]!)).sort();
    expect(offsets[Math.floor(0.99 * offsets.length)]).toBeLessThan(0.1);
  });

  test('not declared: the line is off by the lean, the stations by latency and arm', () => {
    const run = laid(logOf(sim), circuit, { axes: 'body' });
    const offsets = run.run.offsetM.map((n, i) => Math.abs(n - sim.truth.offsetOfRow[run.run.row[i]!]!));
    expect(Math.max(...offsets)).toBeGreaterThan(0.5);
    expect(stationErrors(run).medianM).toBeGreaterThan(0.5);
  });

  test('and a datum off by metres: the shift that is declared is added', () => {
    const log = logOf(sim);
    log.rows['east'] = log.rows['east']!.map((v) => v - 3);
    log.rows['north'] = log.rows['north']!.map((v) => v + 2);
    const run = laid(log, circuit, { position: { latencyS: 0.04, antennaM: arm, shiftM: [3, -2] } });
    check(run, sim.truth.lapTimesS, 0.06);
  });
});

test('rows without a position, off the circuit, without time, repeated: each is counted once, under its name', () => {
  const sim = simulated(course, { positionNoiseM: SIGMA_M });
  const log = logOf(sim);
  const random = seeded('rows');
  const [time, east] = [log.rows['time']!, log.rows['east']!];
  const planted = { noPosition: 0, noTime: 0, repeated: 0 };
  for (let i = 100; i < time.length - 100; i += 40 + Math.floor(20 * random.uniform())) {
    const what = Math.floor(3 * random.uniform());
    if (what === 0) {
      east[i] = Number.NaN;
      planted.noPosition++;
    } else if (what === 1) {
      time[i] = Number.NaN;
      planted.noTime++;
    } else {
      time[i] = time[i - 1]!;
      planted.repeated++;
    }
  }
  const run = laid(log, circuit);
  check(run, sim.truth.lapTimesS, 0.02);
  expect(accountOf(run)).toMatchObject({ ...planted, held: 0, outlier: 0, offLine: 0 });
});
