import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { timesAt } from '../../src/align/alignLap.ts';
import { type PhaseMap, phaseMapText, readPhaseMap } from '../../src/circuit/phases.ts';
import { curvesOf } from '../../src/gap/curve.ts';
import { ledgerOf } from '../../src/gap/ledger.ts';
import { sigmaBetween } from '../../src/gap/uncertainty.ts';
import { circuitOf, comb, figureEight, rounded } from '../align/courses.ts';
import { type Log, logOf, where } from '../align/laidLog.ts';
import { simulated } from '../align/simulated.ts';
import type { Course } from '../simulator/course.ts';
import { lapOf, mapOf, pair, windows } from './pair.ts';
import { CAPABLE, type Manner, riderOf } from './riders.ts';

// What must hold of every ledger, whoever rides where. The properties are the method's own; no number comes from the code.

const courses: readonly { course: Course; halfWidthM: number }[] = [
  { course: rounded(), halfWidthM: 6 },
  { course: figureEight(), halfWidthM: 6 },
  { course: comb(), halfWidthM: 3.5 },
];
const circuits = courses.map(({ course, halfWidthM }) => circuitOf(course, 0, halfWidthM));

const manner = fc.record({
  gripUse: fc.double({ min: 0.45, max: 0.95, noNaN: true }),
  brakeUse: fc.double({ min: 0.4, max: 0.95, noNaN: true }),
  driveUse: fc.double({ min: 0.5, max: 1, noNaN: true }),
  earlyM: fc.double({ min: 0, max: 30, noNaN: true }),
  lateM: fc.double({ min: 0, max: 20, noNaN: true }),
  asideM: fc.double({ min: -2, max: 2, noNaN: true }),
});
const rides = fc.record({ where: fc.nat({ max: 2 }), one: manner, two: manner, seed: fc.nat({ max: 1e6 }) });
const RUNS = { seed: 20, numRuns: 12 };

const log = (course: Course, who: Manner, seed = 'x', rateHz = 50, ride = {}): Log =>
  logOf(simulated(course, { rateHz }, { rider: riderOf(course, who, true), seed, ...ride }));

describe('for any two riders on any course', () => {
  test('cells tile the lap and sum to its gap within a microsecond; swapping the riders changes every sign', () => {
    fc.assert(
      fc.property(rides, ({ where: k, one, two, seed }) => {
        const { course } = courses[k]!;
        const a = lapOf(log(course, one, `a${seed}`), circuits[k]!);
        const b = lapOf(log(course, two, `b${seed}`), circuits[k]!);
        const map = mapOf(b);
        const { cells, ledger } = pair(a, b, map);
        expect(ledger.gapS).toBe(a.timeS! - b.timeS!);
        expect(Math.abs(ledger.entries.reduce((sum, e) => sum + e.gapS, 0) - ledger.gapS!)).toBeLessThan(1e-6);
        expect(Math.abs(ledger.entries.reduce((sum, e) => sum + e.referenceS, 0) - b.timeS!)).toBeLessThan(1e-6);
        expect(ledger.entries).toHaveLength(cells.length);
        let at = 0;
        for (const cell of cells) {
          expect(cell.fromM).toBe(at);
          expect(cell.toM).toBeGreaterThanOrEqual(cell.fromM);
          at = cell.toM;
        }
        expect(at).toBe(circuits[k]!.lengthM);

        const swapped = ledgerOf(b, a, cells);
        expect(swapped.gapS).toBe(-ledger.gapS!);
        swapped.entries.forEach((e, i) => {
          expect(e.gapS).toBeCloseTo(-ledger.entries[i]!.gapS, 12);
          expect(e.sigmaS).toBeCloseTo(ledger.entries[i]!.sigmaS, 12);
        });
      }),
      RUNS,
    );
  });

  test('a lap against itself is nothing anywhere: cells, curve, uncertainty', () => {
    fc.assert(
      fc.property(rides, ({ where: k, one, seed }) => {
        const a = lapOf(log(courses[k]!.course, one, `${seed}`), circuits[k]!);
        const { ledger } = pair(a, a, mapOf(a));
        expect(ledger.gapS).toBe(0);
        expect(ledger.sigmaS).toBe(0);
        for (const e of ledger.entries) expect([e.gapS, e.sigmaS]).toEqual([0, 0]);
        const { gapS, sigmaS } = curvesOf(a, a);
        expect(gapS.every((v) => v === 0)).toBe(true);
        expect(sigmaS.every((v) => v === 0)).toBe(true);
      }),
      { ...RUNS, numRuns: 5 },
    );
  });

  test('the proposed phase map rises round the lap and reads back as it was written', () => {
    fc.assert(
      fc.property(rides, ({ where: k, one, seed }) => {
        const { lengthM } = circuits[k]!;
        const map = mapOf(lapOf(log(courses[k]!.course, one, `${seed}`), circuits[k]!));
        const read = readPhaseMap(phaseMapText(map), 'x.phases.yaml', lengthM);
        expect(read.problems).toEqual([]);
        const stations = ({ corners }: PhaseMap) => corners.map(({ radiusM: _, ...rest }) => rest);
        expect(stations(read.map!)).toEqual(stations(map));
      }),
      RUNS,
    );
  });

  test('times rise with the station, and the gap curve ends at the gap of the lap times', () => {
    fc.assert(
      fc.property(rides, ({ where: k, one, two, seed }) => {
        const a = lapOf(log(courses[k]!.course, one, `a${seed}`), circuits[k]!);
        const b = lapOf(log(courses[k]!.course, two, `b${seed}`), circuits[k]!);
        const { timeS, gapS } = curvesOf(a, b);
        expect(gapS[0]).toBe(0);
        expect(gapS.at(-1)).toBe(a.timeS! - b.timeS!);
        for (let i = 1; i < timeS.length; i++) expect(timeS[i]!).toBeGreaterThan(timeS[i - 1]!);
      }),
      { ...RUNS, numRuns: 6 },
    );
  });

  test('plan and execution add up to the gap, cell by cell and over the lap', () => {
    fc.assert(
      fc.property(rides, ({ where: k, one, two, seed }) => {
        const robot = log(courses[k]!.course, one, `a${seed}`);
        const speed = robot.rows['speed']!;
        // Any plan will do: a target some share off what was ridden, on a line of its own.
        robot.rows['target_speed'] = speed.map((v, i) => v * (1.02 + 0.05 * Math.sin(i / 90)));
        robot.rows['target_offset'] = speed.map((_, i) => one.asideM + 0.2 * Math.sin(i / 200));
        const a = lapOf(robot, circuits[k]!);
        const b = lapOf(log(courses[k]!.course, two, `b${seed}`), circuits[k]!);
        const { ledger } = pair(a, b, mapOf(b));
        for (const e of ledger.entries) expect(e.planS! + e.executionS!).toBeCloseTo(e.gapS, 12);
        expect(ledger.planS! + ledger.executionS!).toBeCloseTo(ledger.gapS!, 12);
        expect(Math.abs(ledger.entries.reduce((sum, e) => sum + e.planS!, 0) - ledger.planS!)).toBeLessThan(1e-9);
      }),
      { ...RUNS, numRuns: 6 },
    );
  });
});

describe('what must not matter', () => {
  const { course } = courses[0]!;
  const circuit = circuits[0]!;
  const slower: Manner = { ...CAPABLE, gripUse: 0.7, earlyM: 15, lateM: 8, asideM: 1 };
  const robot = log(course, slower, 'robot');
  const rider = log(course, CAPABLE, 'rider');
  const a = lapOf(robot, circuit);
  const b = lapOf(rider, circuit);
  const map = mapOf(b);
  const plain = pair(a, b, map);
  const same = (other: ReturnType<typeof pair>, toleranceS: number): void => {
    expect(other.ledger.entries.map(({ corner, cell }) => [corner, cell])).toEqual(
      plain.ledger.entries.map(({ corner, cell }) => [corner, cell]),
    );
    other.ledger.entries.forEach((e, i) => {
      expect(Math.abs(e.gapS - plain.ledger.entries[i]!.gapS), `${e.corner} ${e.cell}`).toBeLessThanOrEqual(toleranceS);
    });
    expect(Math.abs(other.ledger.gapS! - plain.ledger.gapS!)).toBeLessThanOrEqual(toleranceS);
  };

  // A clock of 1e6 s has a step of 1e-10 s: what is left is the rounding of the stamps.
  test.each([1000, -3, 86_400, 1e6])('a clock shifted by %d s: 1 ns, and by rounding of the stamps', (shiftS) => {
    const later = { ...robot, rows: { ...robot.rows, time: robot.rows['time']!.map((t) => t + shiftS) } };
    const moved = lapOf(later, circuit);
    same(pair(moved, b, map), Math.max(1e-9, 1e-9 * Math.abs(shiftS) * 0.1));
    expect(Math.abs(moved.timeS! - a.timeS!)).toBeLessThan(1e-9 * Math.max(1, Math.abs(shiftS) / 1e4));
  });

  test('the order of the columns: not a bit', () => {
    const turned = { ...robot, rows: Object.fromEntries(Object.entries(robot.rows).reverse()) };
    same(pair(lapOf(turned, circuit), b, map), 0);
  });

  test('where on earth the metres begin: 1 µs', () => {
    const far = (l: Log): Log => ({
      ...l,
      rows: { ...l.rows, east: l.rows['east']!.map((v) => v + 4000), north: l.rows['north']!.map((v) => v - 7000) },
    });
    const moved = { ...course, x: course.x.map((v) => v + 4000), y: course.y.map((v) => v - 7000) };
    const there = circuitOf(moved);
    same(pair(lapOf(far(robot), there), lapOf(far(rider), there), { ...map, lengthM: there.lengthM }), 1e-6);
  });

  test('a mirrored circuit: 0.1 ms, left and right exchanged', () => {
    const mirrored = (l: Log): Log => {
      const turned = ['north', 'heading', 'roll', 'yaw_rate', 'acc_lat', 'steer_torque'];
      return {
        ...l,
        rows: Object.fromEntries(
          Object.entries(l.rows).map(([name, v]) => [name, turned.includes(name) ? v.map((x) => -x) : v]),
        ),
      };
    };
    const other = circuitOf({ ...course, y: course.y.map((v) => -v) });
    const [ma, mb] = [lapOf(mirrored(robot), other), lapOf(mirrored(rider), other)];
    same(pair(ma, mb, { ...map, lengthM: other.lengthM }), 1e-4);
    const own = mapOf(mb);
    own.corners.forEach((corner, i) => {
      expect(corner.direction).not.toBe(map.corners[i]!.direction);
      for (const key of ['a', 'b', 'r', 'p'] as const) expect(corner[key]).toBeCloseTo(map.corners[i]![key], 0);
    });
  });

  test.each([20, 100, 200])('a log of %i Hz in place of 50: 2 ms a cell of the same map', (rateHz) => {
    const again = lapOf(log(course, slower, 'robot', rateHz), circuit);
    // Onsets come from the channels, a row late at most; boundaries are those of the plain pair here.
    const ledger = ledgerOf(again, b, plain.cells);
    ledger.entries.forEach((e, i) => void expect(Math.abs(e.gapS - plain.ledger.entries[i]!.gapS)).toBeLessThan(0.002));
    expect(Math.abs(ledger.gapS! - plain.ledger.gapS!)).toBeLessThan(0.001);
  });

  test('a moved gate: the same windows and, where laps repeat, the same whole-lap gap, 1 ms', () => {
    // Laps that repeat themselves: no scatter, and at full speed before the first gate already.
    const steady = { laps: 3, steady: true } as const;
    const [one, two] = [log(course, slower, 's', 50, steady), log(course, CAPABLE, 's', 50, steady)];
    const here = [lapOf(one, circuit, {}, 2), lapOf(two, circuit, {}, 2)] as const;
    const base = mapOf(here[1]);
    const before = pair(here[0], here[1], base);
    for (const gateM of [150, 420, 777.7, course.lengthM - 90]) {
      const moved = circuitOf(course, gateM);
      const there = [lapOf(one, moved, {}, 2), lapOf(two, moved, {}, 2)] as const;
      const shifted = (s: number): number => (s - gateM + 2 * course.lengthM) % course.lengthM;
      const corners = base.corners
        .map((c) => ({
          ...c,
          entryM: shifted(c.entryM),
          exitM: shifted(c.exitM),
          a: shifted(c.a),
          b: shifted(c.b),
          r: shifted(c.r),
          p: shifted(c.p),
        }))
        .sort((x, y) => x.a - y.a);
      const after = pair(there[0], there[1], { ...base, lengthM: moved.lengthM, corners });
      expect(Math.abs(after.ledger.gapS! - before.ledger.gapS!)).toBeLessThan(0.001);
      const [was, is] = [windows(before.ledger), windows(after.ledger)];
      for (const name of Object.keys(was))
        expect(Math.abs(is[name]! - was[name]!), `corner ${name}`).toBeLessThan(0.001);
      after.own.forEach((t) => {
        const old = before.own.find(({ corner }) => corner === t.corner)!;
        for (const key of ['brakeOnsetM', 'brakeReleaseM', 'pickUpM', 'slowestM'] as const) {
          const d = Math.abs(shifted(old[key]!) - ((t[key]! + course.lengthM) % course.lengthM));
          expect(Math.min(d, course.lengthM - d), `corner ${t.corner} ${key}`).toBeLessThan(0.6);
        }
      });
    }
  });

  test('what comes before and behind the lap in the log: not a bit of its time curve beyond a second', () => {
    const alone = lapOf(
      where(robot, (i) => robot.momentS[i]! > a.startS - 3 && robot.momentS[i]! < a.startS + a.timeS! + 3),
      circuit,
    );
    const at = Float64Array.from({ length: 200 }, (_, i) => (i * circuit.lengthM) / 200);
    const [x, y] = [timesAt(alone, at), timesAt(a, at)];
    x.forEach((t, i) => void expect(Math.abs(t - y[i]!)).toBeLessThan(1e-6));
  });
});

test('who is ahead of the reference reads below zero in every way', () => {
  const { course } = courses[0]!;
  const quick = lapOf(log(course, { ...CAPABLE, gripUse: 0.92, brakeUse: 0.95 }, 'quick'), circuits[0]!);
  const slow = lapOf(log(course, { ...CAPABLE, gripUse: 0.7 }, 'slow'), circuits[0]!);
  const { ledger } = pair(quick, slow, mapOf(slow));
  expect(ledger.gapS!).toBeLessThan(-1);
  for (const gap of Object.values(windows(ledger))) expect(gap).toBeLessThan(0);
  expect(sigmaBetween(quick, slow, 0, circuits[0]!.lengthM)).toBeGreaterThan(0);
});
