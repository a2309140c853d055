import { describe, expect, test } from 'vitest';
import { circuitOf, rounded } from '../align/courses.ts';
import {
  accountOf,
  joined,
  type LaidLog,
  laid,
  logOf,
  picked,
  stationErrors,
  stopped,
  where,
  without,
} from '../align/laidLog.ts';
import { simulated } from '../align/simulated.ts';

// Truth throughout: the simulator's own station at every row and its own gate crossings.

const course = rounded();
const circuit = circuitOf(course);
const noise = { positionNoiseM: 0.02 };

const kinds = (run: LaidLog): string[] => run.laps.map(({ number, kind }) => `${number} ${kind}`);
const codes = (run: LaidLog, lap: number): string[] =>
  (run.aligned.get(lap) ?? run.laps.find(({ number }) => number === lap))!.reasons.map(({ code }) => code);
const adds = (run: LaidLog): void => {
  const { rows, ...parts } = accountOf(run);
  expect(Object.values(parts).reduce((sum, n) => sum + n, 0)).toBe(rows);
};

describe('a standing start', () => {
  const sim = simulated(course, noise, { start: 'grid' });

  test('makes the first lap a standing lap, the next one a flying lap', () => {
    const run = laid(logOf(sim), circuit);
    expect(kinds(run)).toEqual(['0 out', '1 standing', '2 flying', '3 in']);
    sim.truth.lapTimesS.forEach(
      (t, k) => void expect(Math.abs(run.aligned.get(k + 1)!.timeS! - t)).toBeLessThan(0.003),
    );
    expect(codes(run, 1)).toEqual([]);
    expect(stationErrors(run).maxM).toBeLessThan(0.03);
  });

  test('is seen without a speed channel as well', () => {
    const run = laid(without(logOf(sim), 'speed'), circuit);
    expect(kinds(run)).toEqual(['0 out', '1 standing', '2 flying', '3 in']);
    expect(Math.abs(run.aligned.get(1)!.timeS! - sim.truth.lapTimesS[0]!)).toBeLessThan(0.01);
  });

  // Standing a hand's breadth before the gate, drifting over it many times; longer than it takes to add up two gates.
  test.each([
    ['with speed', false],
    ['without', true],
  ])('on a gate that the position drifts across crosses it once, %s', (_, blind) => {
    const drifting = simulated(course, { ...noise, driftM: 0.5, driftS: 5 }, { start: 'grid', startM: -0.25 });
    const long = stopped(logOf(drifting), 10, 60, 0.02);
    const shaken = {
      ...long,
      rows: { ...long.rows, east: long.rows['east']!.map((v, i) => v + (i < 3000 ? 0.6 * Math.sin(i / 9) : 0)) },
    };
    const run = laid(blind ? without(shaken, 'speed') : shaken, circuit);
    expect(kinds(run)).toEqual(['0 out', '1 standing', '2 flying', '3 in']);
    // Half a metre of drift at the gate, ridden at walking pace.
    expect(Math.abs(run.aligned.get(1)!.timeS! - drifting.truth.lapTimesS[0]!)).toBeLessThan(0.4);
    adds(run);
  });
});

describe('standing still within a lap', () => {
  const sim = simulated(course, noise, { slow: [{ lap: 2, takenM: 500, fromM: 500, toM: 560, mps: 0.6 }] });
  const slowRow = logOf(sim).stationM.findIndex((s) => s > course.lengthM + 530);

  test.each([
    ['with speed', false],
    ['without', true],
  ])('spoils that lap alone, its time stays right, %s', (_, blind) => {
    const log = stopped(logOf(sim), slowRow, 20, 0.02);
    const run = laid(blind ? without(log, 'speed') : log, circuit);
    expect(kinds(run)).toEqual(['0 out', '1 flying', '2 flying', '3 in']);
    expect(codes(run, 1)).toEqual([]);
    expect(codes(run, 2)).toEqual(['STOOD_STILL']);
    expect(Math.abs(run.aligned.get(2)!.timeS! - sim.truth.lapTimesS[1]! - 20)).toBeLessThan(0.005);
    // The place at which it stands is held: nothing moves while the clock runs.
    expect(stationErrors(run).maxM).toBeLessThan(blind ? 0.2 : 0.05);
    adds(run);
  });
});

describe('the pit lane, 19 m beside the gate', () => {
  const one = simulated(course, noise, { start: 'pit', end: 'pit', pitOffsetM: -19 });

  test('is no crossing: out lap, two laps, in lap', () => {
    const run = laid(logOf(one), circuit);
    expect(kinds(run)).toEqual(['0 out', '1 flying', '2 flying', '3 in']);
    expect([0, 1, 2, 3].flatMap((lap) => codes(run, lap))).toEqual([]);
    one.truth.lapTimesS.forEach(
      (t, k) => void expect(Math.abs(run.aligned.get(k + 1)!.timeS! - t)).toBeLessThan(0.003),
    );
    const onCourse = stationErrors(run, (s) => s > -course.lengthM + 250 && s < 3 * course.lengthM - 250);
    expect(onCourse.maxM).toBeLessThan(0.03);
    adds(run);
  });

  test('in, stop, out again: the laps on either side are right, the one through it says that it passed the gate', () => {
    const other = simulated(course, noise, { start: 'pit', end: 'pit', pitOffsetM: -19, seed: 'other' });
    const first = logOf(one);
    const laterS = first.momentS.at(-1)! + 30;
    const log = joined(first, logOf(other), laterS, 4 * course.lengthM);
    const run = laid(log, circuit);
    expect(kinds(run)).toEqual(['0 out', '1 flying', '2 flying', '3 flying', '4 flying', '5 flying', '6 in']);
    expect([1, 2, 4, 5].flatMap((lap) => codes(run, lap))).toEqual([]);
    expect(codes(run, 3)).toEqual(expect.arrayContaining(['NOT_ROUND', 'STOOD_STILL']));
    expect(run.aligned.get(3)!.timeS).toBeNull();
    const times = [one, other].flatMap(({ truth }) => truth.lapTimesS);
    [1, 2, 4, 5].forEach(
      (lap, k) => void expect(Math.abs(run.aligned.get(lap)!.timeS! - times[k]!)).toBeLessThan(0.003),
    );
    const errors = stationErrors(run, (s) => s % course.lengthM > 250 && s % course.lengthM < course.lengthM - 250);
    expect(errors.medianM).toBeLessThan(0.01);
    adds(run);
  });
});

describe('the ends of a run', () => {
  const sim = simulated(course, noise);

  test('in the middle of a lap: the laps before it count, the rest is an in lap that covers what it covers', () => {
    const log = logOf(sim);
    const endM = 1.4 * course.lengthM;
    const run = laid(
      where(log, (i) => log.stationM[i]! < endM),
      circuit,
    );
    expect(kinds(run)).toEqual(['0 out', '1 flying', '2 in']);
    expect(Math.abs(run.aligned.get(1)!.timeS! - sim.truth.lapTimesS[0]!)).toBeLessThan(0.003);
    const rest = run.aligned.get(2)!;
    expect(rest.timeS).toBeNull();
    expect(rest.coveredM).toBeCloseTo(0.4 * course.lengthM, -0.5);
    expect(codes(run, 2)).toEqual([]);
  });

  test('one lap only, from just before the gate to just behind it', () => {
    const log = logOf(sim);
    const run = laid(
      where(log, (i) => log.stationM[i]! > -20 && log.stationM[i]! < course.lengthM + 20),
      circuit,
    );
    expect(kinds(run)).toEqual(['0 out', '1 flying', '2 in']);
    expect(Math.abs(run.aligned.get(1)!.timeS! - sim.truth.lapTimesS[0]!)).toBeLessThan(0.003);
  });

  test('cut so short that late positions put the crossing before the first row: the lap is timed all the same', () => {
    const late = simulated(course, { ...noise, latencyS: 0.06 });
    const log = logOf(late);
    const run = laid(
      where(log, (i) => log.momentS[i]! > late.truth.crossingsS[0]! + 0.025),
      circuit,
      {
        position: { latencyS: 0.06 },
      },
    );
    expect(Math.abs(run.aligned.get(1)!.timeS! - late.truth.lapTimesS[0]!)).toBeLessThan(0.004);
    expect(codes(run, 1)).toEqual([]);
  });

  test('without any crossing there is one out lap, and nothing is made up', () => {
    const log = logOf(sim);
    const run = laid(
      where(log, (i) => log.stationM[i]! > 100 && log.stationM[i]! < 900),
      circuit,
    );
    expect(kinds(run)).toEqual(['0 out']);
    expect(run.aligned.size).toBe(0);
  });
});

describe('the order of rows', () => {
  const sim = simulated(course, noise);
  const plain = laid(logOf(sim), circuit);

  test('written late and written twice: the same laps as in order', () => {
    const log = logOf(sim);
    const order = [...log.momentS.keys()];
    for (let i = 50; i < order.length - 60; i += 97) order.splice(i + 30, 0, ...order.splice(i, 3));
    for (let i = order.length - 10; i > 0; i -= 211) order.splice(i, 0, order[i]!);
    const run = laid(picked(log, order), circuit);
    for (const lap of [1, 2]) expect(run.aligned.get(lap)!.timeS).toBe(plain.aligned.get(lap)!.timeS);
    expect(accountOf(run)).toMatchObject({ repeated: order.length - log.momentS.length, outlier: 0, offLine: 0 });
    adds(run);
    expect(run.problems.map(({ code }) => code)).toEqual(expect.arrayContaining(['TIME_ORDER', 'TIME_REPEATED']));
  });

  test('a clock that goes back and stays back: the lap across says so, the other is as it was', () => {
    const log = logOf(sim);
    const row = log.stationM.findIndex((s) => s > 500);
    const back = { ...log, rows: { ...log.rows, time: log.rows['time']!.map((t, i) => (i >= row ? t - 25 : t)) } };
    const run = laid(back, circuit);
    expect(codes(run, 1)).toEqual(['CLOCK_BACK']);
    expect(codes(run, 2)).toEqual([]);
    expect(run.aligned.get(2)!.timeS!).toBeCloseTo(plain.aligned.get(2)!.timeS!, 9);
    expect(stationErrors(run).maxM).toBeLessThan(0.05);
    adds(run);
  });

  test('a hole of 3 s spoils the lap it is in; one of 0.4 s on the straight does not', () => {
    const log = logOf(sim);
    const at = (s: number): number => log.momentS[log.stationM.findIndex((x) => x > s)]!;
    const [long, short] = [at(500), at(course.lengthM + 150)];
    const run = laid(
      where(
        log,
        (i) =>
          !(log.momentS[i]! > long && log.momentS[i]! < long + 3) &&
          !(log.momentS[i]! > short && log.momentS[i]! < short + 0.4),
      ),
      circuit,
    );
    expect(codes(run, 1)).toEqual(['HOLE']);
    expect(codes(run, 2)).toEqual([]);
  });
});

test('a short cut through the infield back to the gate: left the course, and had no place on it', () => {
  const sim = simulated(course, noise);
  const log = logOf(sim);
  // Through the middle of the circuit, from the end of one straight back to before the gate, at 20 m/s.
  const from = log.stationM.findIndex((s) => s > 450);
  const to = log.stationM.findIndex((s) => s > course.lengthM - 60);
  const [x0, y0, x1, y1] = [
    log.rows['east']![from]!,
    log.rows['north']![from]!,
    log.rows['east']![to]!,
    log.rows['north']![to]!,
  ];
  const count = Math.round(Math.hypot(x1 - x0, y1 - y0) / 0.4);
  const order = [...log.momentS.keys()].filter((i) => i < from || i >= to);
  const cut = picked(log, [...order.slice(0, from), ...Array(count).fill(from), ...order.slice(from)]);
  for (let k = 0; k < count; k++) {
    cut.rows['east']![from + k] = x0 + (k / count) * (x1 - x0);
    cut.rows['north']![from + k] = y0 + (k / count) * (y1 - y0);
    cut.rows['speed']![from + k] = 20;
  }
  cut.rows['time'] = cut.rows['time']!.map((_, i) => i * 0.02);
  const run = laid(cut, circuit);
  expect(codes(run, 1)).toEqual(['LEFT_COURSE', 'POSITION_LOST']);
  expect(codes(run, 2)).toEqual([]);
});

test('a speed limit, an intervention and an official time go with the laps they belong to', () => {
  const sim = simulated(course, noise);
  const run = laid(logOf(sim), circuit, {
    speedLimitMps: 22,
    incidents: [{ timeS: sim.truth.crossingsS[1]! + 5, kind: 'intervention', severity: 1, closed: true }],
    official: new Map([[2, 44.1]]),
  });
  expect(codes(run, 1)).toEqual([]);
  expect(codes(run, 2)).toEqual(['INTERVENTION']);
  expect(run.laps.map(({ officialS, speedLimitMps }) => [officialS, speedLimitMps])).toEqual([
    [null, 22],
    [null, 22],
    [44.1, 22],
    [null, 22],
  ]);
});
