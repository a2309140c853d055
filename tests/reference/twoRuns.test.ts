import { describe, expect, test } from 'vitest';
import { timesAt } from '../../src/align/alignLap.ts';
import { ledgerOf } from '../../src/gap/ledger.ts';
import { sigmaBetween } from '../../src/gap/uncertainty.ts';
import { readCheck, readColumns, readReference, withReference } from './folder.ts';
import { SmallCampaign } from './smallCampaign.ts';

// Source: reference check d-lap/two-runs (own construction in closed form; DERIVED), course b-curves/course-rounded.
// Tolerances are the file's: lap time 2 ms, gap 2 ms, brake onset and throttle 2 m, slowest speed 0.05 m/s.

const COLUMNS = `stage: simulation
axes: level
columns:
  time: { from: t_s, unit: s }
  east: { from: x_m, unit: m }
  north: { from: y_m, unit: m }
  speed: { from: speed_mps, unit: m/s }
  throttle: { from: throttle_pct, unit: "%" }
  brake_front: { from: brake_mps2, unit: "%" }`;

interface Course {
  course: { length_m: number; gate_s_m: number };
}
interface Limits {
  reference: string;
  rider: string;
  corner?: number;
  course_s_limits_m?: number[];
  distance_from_gate_m?: number[];
  run?: string;
  lap?: number;
}

function campaign(
  robotKeys: string,
  robot: string,
  referenceKeys = COLUMNS,
  reference = readReference('d-lap/run-reference.csv'),
) {
  const { x_m, y_m } = readColumns('b-curves/course-rounded.csv');
  const { course } = readCheck('d-lap/two-runs.json') as unknown as Course;
  return new SmallCampaign(
    { name: 'course', plane: null, line: [x_m!, y_m!], gateStationM: course.gate_s_m, widths: null },
    [
      { id: '2026-01-01-a', keys: referenceKeys, logs: { 'run-reference.csv': reference } },
      { id: '2026-01-02-b', keys: robotKeys, logs: { 'run-robot.csv': robot } },
    ],
  );
}

async function laps(small: SmallCampaign) {
  const [reference] = await small.laid('2026-01-01-a');
  const [robot] = await small.laid('2026-01-02-b');
  const lap = (run: typeof robot, n: number) => run!.laps.find(({ lap: l }) => l.number === n)!.aligned!;
  return { reference: (n: number) => lap(reference, n), robot: (n: number) => lap(robot, n) };
}

withReference('two runs on a closed course', () => {
  const check = readCheck<Limits, never>('d-lap/two-runs.json');
  const { length_m: lengthM, gate_s_m: gateM } = (check as unknown as Course).course;
  const small = campaign(COLUMNS, readReference('d-lap/run-robot.csv'));

  test('lap times and gate clock are right within 2 ms', async () => {
    const { reference, robot } = await laps(small);
    for (const { in: given, out } of check.cases.filter(({ kind }) => kind === 'lap')) {
      const aligned = given.run === 'run-robot.csv' ? robot(given.lap!) : reference(given.lap!);
      const truth = out as unknown as { lap_time_s: number; gate_in_clock_s: number };
      expect(Math.abs(aligned.timeS! - truth.lap_time_s)).toBeLessThan(0.002);
      expect(Math.abs(aligned.startS - truth.gate_in_clock_s)).toBeLessThan(0.002);
    }
  });

  test('the gap curve is right within 2 ms at every listed station', async () => {
    const { reference, robot } = await laps(small);
    for (const { in: given, out } of check.cases.filter(({ kind }) => kind === 'cumulative gap along the lap')) {
      const number = Number(given.rider.at(-1));
      const stations = Float64Array.from(given.distance_from_gate_m!).map((s) => Math.min(s, robot(number).coveredM));
      const own = timesAt(robot(number), stations);
      const other = timesAt(reference(2), stations);
      const truth = (out as unknown as { gap_s: number[] }).gap_s;
      const worst = Math.max(...truth.map((gap, i) => Math.abs(own[i]! - other[i]! - gap)));
      expect(worst).toBeLessThan(0.002);
    }
  });

  test('fed with the listed limits, each phase of each corner has the listed gap', async () => {
    const { reference, robot } = await laps(small);
    for (const { in: given, out } of check.cases.filter(({ kind }) => kind === 'corner split')) {
      const number = Number(given.rider.at(-1));
      const at = given.course_s_limits_m!.map((s) => Math.min(s - gateM, robot(number).coveredM));
      const cells = (['braking', 'apex', 'exit'] as const).map((cell, i) => ({
        corner: String(given.corner),
        cell,
        phase: cell === 'exit' ? ('drive' as const) : cell,
        fromM: at[i]!,
        toM: at[i + 1]!,
      }));
      const { entries } = ledgerOf(robot(number), reference(2), cells);
      const truth = (out as unknown as { gap_change_s: Record<string, number> }).gap_change_s;
      for (const entry of entries) expect(Math.abs(entry.gapS - truth[entry.phase]!)).toBeLessThan(0.002);
      expect(entries).toHaveLength(3);
    }
  });

  test('brake onset, pick-up and slowest speed are found within 2 m and 0.05 m/s', async () => {
    const { sessions } = await small.analysed();
    const technique = (session: string, n: number) =>
      sessions.find((s) => s.session === session)!.runs[0]!.laps.find((l) => l.lap === n)!.technique;
    let compared = 0;
    for (const { in: given, out } of check.cases.filter(({ kind }) => kind === 'corner split')) {
      const truth = out as unknown as Record<string, [number, number]>;
      [technique('2026-01-01-a', 2), technique('2026-01-02-b', Number(given.rider.at(-1)))].forEach((measured, who) => {
        const corner = measured[given.corner! - 1]!;
        const station = (s: number): number => (s - gateM + lengthM) % lengthM;
        expect(Math.abs(corner.brakeOnsetM! - station(truth['brake_onset_course_s_m']![who]!))).toBeLessThan(2);
        expect(Math.abs(corner.pickUpM! - station(truth['throttle_on_course_s_m']![who]!))).toBeLessThan(2);
        expect(Math.abs(corner.slowestMps - truth['min_speed_mps']![who]!)).toBeLessThan(0.05);
        compared++;
      });
    }
    expect(compared).toBe(12);
  });

  describe('with 2.5 cm of position noise, 0.05 m/s of speed noise, a 1 m antenna arm and 40 ms of latency', () => {
    const keys = `${COLUMNS.replace('simulation', 'track')}
  roll: { from: roll_rad, unit: rad }
position: { antenna: [0.3, 0.1, 0.95], latency: "40 ms", sigma: "0.025 m" }`;

    test.each([1, 2, 3])('the gap lies within its own three standard deviations everywhere, seed %i', async (seed) => {
      const noisy = campaign(
        keys,
        worsened('d-lap/run-robot.csv', seed),
        keys,
        worsened('d-lap/run-reference.csv', 100 + seed),
      );
      const { reference, robot } = await laps(noisy);
      for (const { in: given, out } of check.cases.filter(({ kind }) => kind === 'cumulative gap along the lap')) {
        const lap = robot(Number(given.rider.at(-1)));
        const stations = Float64Array.from(given.distance_from_gate_m!).map((s) => Math.min(s, lap.coveredM));
        const gaps = timesAt(lap, stations).map((t, i) => t - timesAt(reference(2), stations)[i]!);
        (out as unknown as { gap_s: number[] }).gap_s.forEach((gap, i) => {
          const sigma = sigmaBetween(lap, reference(2), 0, stations[i]!);
          if (stations[i] === 0) expect(gaps[i]).toBe(0);
          else expect(Math.abs(gaps[i]! - gap), `at ${stations[i]} m`).toBeLessThan(3 * sigma);
          // A band so wide that it could not fail would prove nothing: 20 ms is the most it may be.
          expect(sigma).toBeLessThan(0.02);
        });
      }
    });
  });
});

withReference('tracking error of a weaving line', () => {
  // Source: reference check d-lap/cross-track (statistics of a sine, DERIVED): offset 0.30 m and 0.05 m about the line.
  test.each(readCheck<{ file: string; line: string }>('d-lap/cross-track.json').cases)(
    '$id',
    async ({ in: given, out }) => {
      const { x_m, y_m } = readColumns('b-curves/course-rounded.csv');
      const keys = COLUMNS.split('\n')
        .filter((line) => !/speed|throttle|brake/.test(line))
        .join('\n');
      const text = readReference(`d-lap/${given.file}`);
      const small = new SmallCampaign({ name: 'course', plane: null, line: [x_m!, y_m!], gateStationM: 200 }, [
        { id: '2026-01-01-a', keys, logs: { 'run.csv': text } },
      ]);
      const [laid] = await small.laid('2026-01-01-a');
      const { run } = laid!;
      const last = run!.stationM.length - 1;
      const offsets: number[] = [];
      // Statistics per distance, over the one lap that the file holds.
      for (let s = run!.stationM[0]! + 1; s < run!.stationM[last]! - 1; s += 0.5) {
        let i = 1;
        while (run!.stationM[i]! < s) i++;
        const share = (s - run!.stationM[i - 1]!) / (run!.stationM[i]! - run!.stationM[i - 1]!);
        offsets.push(run!.offsetM[i - 1]! + share * (run!.offsetM[i]! - run!.offsetM[i - 1]!));
      }
      const rms = Math.sqrt(offsets.reduce((sum, n) => sum + n * n, 0) / offsets.length);
      expect(Math.abs(rms - out['rms_m']!)).toBeLessThan(0.003);
      expect(Math.abs(Math.max(...offsets.map(Math.abs)) - out['max_abs_m']!)).toBeLessThan(0.005);
    },
  );
});

/** A log seen by a worse logger: the antenna off the ground point, positions late, noise on position and speed. */
function worsened(path: string, seed: number): string {
  const [forward, left, up] = [0.3, 0.1, 0.95];
  const latencyS = 0.04;
  const log = readColumns(path);
  const gauss = normal(seed);
  const n = log['t_s']!.length;
  const t = log['t_s']!;
  const heading = (i: number): number => {
    const a = Math.max(0, i - 1);
    const b = Math.min(n - 1, i + 1);
    return Math.atan2(log['y_m']![b]! - log['y_m']![a]!, log['x_m']![b]! - log['x_m']![a]!);
  };
  // Leaning into the corner: in a left bend the lateral force is positive and the roll negative (ISO 8855).
  const roll = log['accel_lat_mps2']!.map((a) => -Math.atan(a / 9.80665));
  const rows = Array.from({ length: n }, (_, i) => {
    const side = left * Math.cos(roll[i]!) - up * Math.sin(roll[i]!);
    const psi = heading(i);
    return {
      x: log['x_m']![i]! + forward * Math.cos(psi) - side * Math.sin(psi),
      y: log['y_m']![i]! + forward * Math.sin(psi) + side * Math.cos(psi),
    };
  });
  // What is logged at t is where the antenna was at t - latency.
  const late = (of: (i: number) => number, i: number): number => {
    let k = 1;
    while (k < n - 1 && t[k]! < t[i]! - latencyS) k++;
    const share = (t[i]! - latencyS - t[k - 1]!) / (t[k]! - t[k - 1]!);
    return of(k - 1) + share * (of(k) - of(k - 1));
  };
  const lines = ['t_s,x_m,y_m,speed_mps,roll_rad,throttle_pct,brake_mps2'];
  for (let i = 3; i < n; i++)
    lines.push(
      [
        t[i]!,
        late((k) => rows[k]!.x, i) + 0.025 * gauss(),
        late((k) => rows[k]!.y, i) + 0.025 * gauss(),
        log['speed_mps']![i]! + 0.05 * gauss(),
        roll[i]!,
        log['throttle_pct']![i]!,
        log['brake_mps2']![i]!,
      ].join(','),
    );
  return `${lines.join('\n')}\n`;
}

function normal(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 15), z | 1);
    z ^= z + Math.imul(z ^ (z >>> 7), z | 61);
    return ((z ^ (z >>> 14)) >>> 0) / 4294967296;
  };
  return () => Math.sqrt(-2 * Math.log(uniform() + 1e-12)) * Math.cos(2 * Math.PI * uniform());
}
