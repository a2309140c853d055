import { describe, expect, test } from 'vitest';
import { bendsOf } from './bendsOf.ts';
import { bend, type Course, closeCourse, courseFromPieces, courseFromPoints, straight } from './course.ts';
import { deficitsOf, demoRun } from './demoRun.ts';
import { eventsOf } from './events.ts';
import { motion } from './motion.ts';
import { plainRider } from './plainRider.ts';
import { type Ridden, type Ride, ride } from './ride.ts';
import { riders } from './riders.ts';
import { saltmarsh } from './saltmarsh.ts';
import { DAYS } from './scenario.ts';
import { type Simulated, simulateRun } from './simulateRun.ts';
import { stateAt } from './stateAt.ts';

const turns = [bend(90, 40, 20), bend(90, 30, 20), bend(90, 50, 25), bend(90, 35, 20)];
const rounded = closeCourse(
  turns.flatMap((turn, i) => [straight([300, 150, 280, 150][i]!), ...turn]),
  8,
  12,
);
const course = courseFromPieces(rounded);
const spec = (of: Partial<Ride> = {}): Ride => ({
  course,
  bends: bendsOf(course),
  rider: plainRider(course),
  laps: 2,
  start: 'rolling',
  end: 'rolling',
  seed: 'test',
  ...of,
});

const channel = (rows: Simulated['rows'], name: string): Float64Array => {
  const values = rows[name];
  if (!values) throw new Error(`no channel ${name}`);
  return values;
};

describe('courses', () => {
  test('bends and straights close by the lengths of two straights', () => {
    expect(course.turning).toBeCloseTo(2 * Math.PI, 9);
    const last = course.count - 1;
    const [dx, dy] = [course.x[0]! - course.x[last]!, course.y[0]! - course.y[last]!];
    expect(Math.hypot(dx, dy)).toBeCloseTo(course.stepM, 4);
    expect(bendsOf(course)).toHaveLength(4);
  });

  test('a spline through points of a circle has its length and curvature', () => {
    const points = Array.from({ length: 120 }, (_, i) => {
      const a = (2 * Math.PI * i) / 120;
      return [100 * Math.cos(a), 100 * Math.sin(a)] as const;
    });
    const circle = courseFromPoints(points);
    expect(circle.lengthM).toBeCloseTo(200 * Math.PI, 3);
    expect(circle.turning).toBeCloseTo(2 * Math.PI, 6);
    for (const k of circle.curvature) expect(k).toBeCloseTo(0.01, 5);
  });
});

describe('a run', () => {
  const run = ride(spec());

  test('is the same twice, and another seed is another run', () => {
    const noisy = { rateHz: 50, positionNoiseM: 0.02, speedNoiseMps: 0.05 };
    const once = simulateRun(spec(), noisy);
    expect(simulateRun(spec(), noisy).rows).toEqual(once.rows);
    expect(simulateRun(spec({ seed: 'other' }), noisy).rows).not.toEqual(once.rows);
  });

  test('speed over time is the way between positions', () => {
    // independent of the simulator's clock: chords of the positions against a sum of speed times time
    const { rows } = simulateRun(spec(), { rateHz: 200 });
    const [x, y, v, t] = [channel(rows, 'east'), channel(rows, 'north'), channel(rows, 'speed'), channel(rows, 'time')];
    let [way, sum] = [0, 0];
    for (let i = 1; i < t.length; i++) {
      way += Math.hypot(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!);
      sum += ((v[i]! + v[i - 1]!) / 2) * (t[i]! - t[i - 1]!);
    }
    expect(sum / way).toBeCloseTo(1, 4);
  });

  test('crosses the gate at the stated moments', () => {
    for (const crossing of run.crossingsS) {
      const state = stateAt(run, crossing);
      // station 0 is the beginning of the first piece: the line x = 0, ridden eastward
      expect(state.x).toBeCloseTo(0, 6);
      expect(Math.abs(state.y)).toBeLessThan(6);
    }
    expect(run.timeAtStation(2, 0) - run.timeAtStation(1, 0)).toBeCloseTo(run.lapTimesS[0]!, 9);
    expect(run.timeAtStation(1, course.lengthM)).toBeCloseTo(run.timeAtStation(2, 0), 9);
  });

  test('accelerations and yaw rate are derivatives of speed and heading', () => {
    const { rows } = simulateRun(spec(), { rateHz: 200 });
    let worst = 0;
    for (let i = 1000; i < 4000; i++) {
      const turning = (channel(rows, 'heading')[i + 1]! - channel(rows, 'heading')[i - 1]!) * 100;
      worst = Math.max(worst, Math.abs(turning - channel(rows, 'yaw_rate')[i]!));
      expect(channel(rows, 'acc_lat')[i]!).toBeCloseTo(channel(rows, 'speed')[i]! * channel(rows, 'yaw_rate')[i]!, 1);
    }
    expect(worst).toBeLessThan(0.01);
  });

  test('a left bend leans left: roll below zero, lateral acceleration above', () => {
    const { rows, truth } = simulateRun(spec(), { rateHz: 50 });
    const bends = bendsOf(course);
    const middle = (bends[0]!.fromM + bends[0]!.toM) / 2;
    const row = truth.stationOfRow.findIndex((s) => s >= middle);
    expect(channel(rows, 'roll')[row]!).toBeLessThan(-0.5);
    expect(channel(rows, 'acc_lat')[row]!).toBeGreaterThan(7);
    expect(channel(rows, 'yaw_rate')[row]!).toBeGreaterThan(0.3);
  });
});

describe('sensors', () => {
  test('an antenna is late by its latency and away by its arm', () => {
    const plain = simulateRun(spec(), { rateHz: 100 });
    const late = simulateRun(spec(), { rateHz: 100, latencyS: 0.05 });
    for (const i of [500, 1500, 2500])
      expect(channel(late.rows, 'east')[i]).toBeCloseTo(channel(plain.rows, 'east')[i - 5]!, 9);
    const high = simulateRun(spec(), { rateHz: 100, antenna: [0, 0, 1] });
    const aside = (i: number) => {
      const heading = channel(plain.rows, 'heading')[i]!;
      const [dx, dy] = [
        channel(high.rows, 'east')[i]! - channel(plain.rows, 'east')[i]!,
        channel(high.rows, 'north')[i]! - channel(plain.rows, 'north')[i]!,
      ];
      return -dx * Math.sin(heading) + dy * Math.cos(heading);
    };
    // one metre up, leant by roll: sin(roll) to the right
    for (const i of [300, 800, 1300, 1800]) expect(aside(i)).toBeCloseTo(-Math.sin(channel(plain.rows, 'roll')[i]!), 6);
  });

  test('body axes hold the same vectors as level axes', () => {
    const level = simulateRun(spec(), { rateHz: 50 }).rows;
    const body = simulateRun(spec(), { rateHz: 50, axes: 'body' }).rows;
    for (let i = 0; i < channel(level, 'time').length; i += 7) {
      const size = (rows: typeof level) =>
        Math.hypot(channel(rows, 'acc_long')[i]!, channel(rows, 'acc_lat')[i]!, channel(rows, 'acc_vert')[i]!);
      expect(size(body)).toBeCloseTo(size(level), 9);
      // leant, most of what pushes sideways points down through the machine
      if (Math.abs(channel(level, 'acc_lat')[i]!) > 8) {
        expect(Math.abs(channel(body, 'acc_lat')[i]!)).toBeLessThan(3.5);
        expect(Math.abs(channel(body, 'yaw_rate')[i]!)).toBeLessThan(0.9 * Math.abs(channel(level, 'yaw_rate')[i]!));
      }
    }
  });

  test('positions are held between fixes, frozen when stale, and rows are missing in holes', () => {
    const { rows, truth } = simulateRun(spec(), { rateHz: 50, positionHz: 10, stale: [[10, 11]], holes: [[20, 20.5]] });
    const time = channel(rows, 'time');
    const east = channel(rows, 'east').map((value, i) => value + 3 * channel(rows, 'north')[i]!);
    expect(new Set(east.slice(100, 105)).size).toBe(1);
    expect(new Set(east.slice(100, 110)).size).toBe(2);
    const frozen = [...time.keys()].filter((i) => time[i]! >= 10 && time[i]! < 10.99);
    expect(new Set(frozen.map((i) => east[i])).size).toBe(1);
    const gap = [...time.keys()].find((i) => i > 0 && time[i]! - time[i - 1]! > 0.021)!;
    expect(time[gap]! - time[gap - 1]!).toBeCloseTo(0.52, 9);
    expect(truth.stationOfRow).toHaveLength(time.length);
  });

  test('noise has the stated size', () => {
    const clean = channel(simulateRun(spec({ laps: 6 }), { rateHz: 50 }).rows, 'east');
    const noisy = channel(simulateRun(spec({ laps: 6 }), { rateHz: 50, positionNoiseM: 0.02 }).rows, 'east');
    const errors = noisy.map((value, i) => value - clean[i]!);
    const rms = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);
    // standard error of a standard deviation over n samples is sigma / sqrt(2 n); five of them
    expect(Math.abs(rms - 0.02)).toBeLessThan((5 * 0.02) / Math.sqrt(2 * errors.length));
  });
});

describe('the pit lane', () => {
  const run = simulateRun(spec({ start: 'pit', end: 'pit', pitOffsetM: -19, laps: 2 }), { rateHz: 20 });

  test('is left and entered past the end of the gate, from and to standstill', () => {
    const { stationOfRow, offsetOfRow } = run.truth;
    const speed = channel(run.rows, 'speed');
    expect(speed[0]).toBe(0);
    expect(speed.at(-1)).toBe(0);
    expect(offsetOfRow[0]).toBeCloseTo(-19, 6);
    const passing = stationOfRow.findIndex((s) => s >= -course.lengthM);
    expect(Math.abs(offsetOfRow[passing]!)).toBeGreaterThan(18);
    expect(run.truth.crossingsS).toHaveLength(3);
    const limited = speed.filter((_, i) => Math.abs(offsetOfRow[i]!) > 18.5);
    for (const v of limited) expect(v).toBeLessThanOrEqual(60 / 3.6);
  });
});

/** Largest values over the complete laps of a run. */
function extremes(on: Course, run: Ridden, rider: Ride['rider']) {
  const m = motion(run, rider);
  const from = Math.round(-run.path.firstM / on.stepM);
  const lap = (values: Float64Array) => values.slice(from, from + run.lapTimesS.length * on.count);
  const most = (values: Float64Array, of: (v: number) => number) =>
    lap(values).reduce((best, v) => Math.max(best, of(v)), Number.NEGATIVE_INFINITY);
  const deg = 180 / Math.PI;
  return {
    topKmh: most(run.speed, (v) => v * 3.6),
    brakingG: most(m.accLong, (a) => -a / 9.80665),
    lateralG: most(m.accLat, (a) => Math.abs(a) / 9.80665),
    leanDeg: most(m.roll, (r) => Math.abs(r) * deg),
    rollRateDegps: most(m.rollRate, (r) => Math.abs(r) * deg),
    offsetM: most(run.path.offset, Math.abs),
  };
}

// magnitudes of the trade: braking 1.0 to 1.2 g, 55 to 60 deg of lean at 1.2 to 1.5 g, roll rates 60 to 120 deg/s
test('the reference rider of the demo does what professionals do', { timeout: 60_000 }, () => {
  const circuit = saltmarsh();
  const rider = riders(circuit).reference;
  const run = ride({
    course: circuit.course,
    bends: circuit.bends,
    rider,
    laps: 5,
    start: 'rolling',
    end: 'rolling',
    seed: 'reference',
  });
  const found = extremes(circuit.course, run, rider);
  expect(found.brakingG).toBeGreaterThan(1);
  expect(found.brakingG).toBeLessThan(1.2);
  expect(found.lateralG).toBeGreaterThan(1.2);
  expect(found.lateralG).toBeLessThan(1.5);
  expect(found.leanDeg).toBeGreaterThan(55);
  expect(found.leanDeg).toBeLessThan(60);
  expect(found.rollRateDegps).toBeGreaterThan(60);
  expect(found.rollRateDegps).toBeLessThan(120);
  expect(found.topKmh).toBeGreaterThan(230);
  expect(found.topKmh).toBeLessThan(270);
  expect(found.offsetM).toBeLessThan(circuit.halfWidthM - 0.5);
  expect(circuit.course.lengthM).toBeGreaterThan(2800);
  expect(circuit.course.lengthM).toBeLessThan(3200);
  for (const lapS of run.lapTimesS) {
    expect(lapS).toBeGreaterThan(80);
    expect(lapS).toBeLessThan(100);
  }
});

const middle = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1]!;

describe('days of the demo', { timeout: 60_000 }, () => {
  const circuit = saltmarsh();
  const people = riders(circuit);
  const ridden = (word: string, file: string) => {
    const day = DAYS.find(({ id }) => id.endsWith(word))!;
    const run = day.runs.find((r) => r.file.startsWith(file))!;
    const done = demoRun(circuit, people, day, run, deficitsOf(day, run));
    const { lengthM } = circuit.course;
    const m = motion(done.ridden, done.rider);
    const events = done.ridden.lapTimesS.flatMap((_, k) => eventsOf(done.ridden, m, circuit.bends, lengthM, k + 1));
    return { ...done, motion: m, events };
  };
  const reference = ridden('-reference', 'run-02');

  // common practice: throttle, brake, clutch and gear within about 0.6 s; changes up by ignition cut below 50 ms
  test('the reference rider enters bends in about 0.6 s, changes up in less than 50 ms, and repeats laps within 0.3 s', () => {
    const entries = reference.events.flatMap(({ entryS }) => (entryS === null ? [] : [entryS]));
    expect(middle(entries)).toBeGreaterThan(0.4);
    expect(middle(entries)).toBeLessThan(0.8);
    expect(reference.rider.shiftS).toBeLessThan(0.05);
    const laps = reference.ridden.lapTimesS;
    const mean = laps.reduce((sum, t) => sum + t, 0) / laps.length;
    const sd = Math.sqrt(laps.reduce((sum, t) => sum + (t - mean) ** 2, 0) / (laps.length - 1));
    expect(sd).toBeGreaterThan(0.15);
    expect(sd).toBeLessThan(0.3);
  });

  test('the robot brakes with half a g on its first day and with 0.95 g at the end', () => {
    const hardest = (word: string, file: string) =>
      Math.max(...ridden(word, file).events.map((e) => e.peakDecelerationMps2)) / 9.80665;
    expect(hardest('-first', 'run-01')).toBeCloseTo(0.52, 1);
    expect(hardest('-close', 'run-01')).toBeCloseTo(0.95, 1);
  });

  test('events are where the controls say: brakes on, then off, then the slowest place; the drive begins after the apex', () => {
    for (const e of reference.events) {
      if (e.brakeOnM !== null && e.brakeOffM !== null) {
        expect(e.brakeOnM).toBeLessThan(e.brakeOffM);
        expect(e.brakeOffM).toBeLessThan(e.slowestM + 5);
      }
      if (e.pickUpM !== null && e.bend !== '9') expect(e.pickUpM).toBeGreaterThan(e.slowestM);
    }
    // nobody brakes for the kink
    expect(reference.events.filter((e) => e.bend === '5').every((e) => e.brakeOnM === null)).toBe(true);
  });

  test('changing down pulls the clutch once for every gear', () => {
    const { clutch } = reference.motion;
    const { gear } = reference.ridden.profile;
    let [downs, pulls] = [0, 0];
    for (let i = 1; i < clutch.length; i++) {
      if (gear[i]! < gear[i - 1]!) downs++;
      if (clutch[i]! >= 0.5 && clutch[i - 1]! < 0.5) pulls++;
    }
    expect(downs).toBeGreaterThan(30);
    expect(Math.abs(pulls - downs)).toBeLessThan(0.1 * downs);
  });
});
