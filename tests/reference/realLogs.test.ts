import { expect, test } from 'vitest';
import { withGate } from '../../src/campaign/lineOfRun.ts';
import { readCheck, readReference, withReference } from './folder.ts';
import { CAR, plain } from './realCar.ts';
import { SmallCampaign } from './smallCampaign.ts';

interface GateAt {
  point_m: [number, number];
  direction: [number, number];
}

withReference('a real log of a full-size car', () => {
  // Source: reference check h-data/real-road-course (a public log, GPL-3.0, and lap times by plain interpolation).
  // The position is stale about once a second and the heading jumps once: neither may become a lap time.
  const check = readCheck<
    { gate_point_m: [number, number]; direction: [number, number]; half_width_m: number },
    { lap_times_s: number[]; crossing_times_s: number[] }
  >('h-data/real-road-course.json');
  const edges = {
    left: plain('h-data/real-road-course-edge-inner.csv'),
    right: plain('h-data/real-road-course-edge-outer.csv'),
  };
  const log = readReference('h-data/real-road-course-run.csv');

  test.each(check.cases.filter(({ kind }) => kind === 'lap times at a gate'))(
    '$id: lap times',
    async ({ in: given, out }) => {
      const points = withGate(
        { name: 'road', plane: null, edges },
        { eastM: given.gate_point_m[0], northM: given.gate_point_m[1] },
      );
      const gate = { point: given.gate_point_m, direction: given.direction, halfWidthM: given.half_width_m };
      const small = new SmallCampaign(points, [{ id: '2026-01-01-a', keys: CAR, logs: { 'run.csv': log } }], gate);
      const [laid] = await small.laid('2026-01-01-a');
      const whole = laid!.laps.filter(({ aligned }) => aligned?.timeS != null);
      expect(whole).toHaveLength(out.lap_times_s.length);
      whole.forEach(({ aligned, lap }, i) => {
        // The check interpolates between raw positions; their scatter about the speed is 2.5 cm in this log, which at a
        // gate that is passed at 6 m/s is as much as the check's own tolerance of 5 ms.
        const [v0, v1] = [aligned!.run.rateMps[aligned!.first]!, aligned!.run.rateMps[aligned!.end - 1]!];
        const slack = 0.005 + 0.025 * Math.hypot(1 / v0, 1 / v1);
        expect(Math.abs(aligned!.timeS! - out.lap_times_s[i]!), `lap ${lap.number}`).toBeLessThan(slack);
      });
    },
  );

  test('goes through the whole job: ledger, technique and curves, cells summing to the gap', async () => {
    const points = withGate({ name: 'road', plane: null, edges }, { eastM: 178.439, northM: 326.514 });
    const small = new SmallCampaign(points, [{ id: '2026-01-01-a', keys: CAR, logs: { 'run.csv': log } }]);
    const { sessions, curves } = await small.analysed();
    const laps = sessions[0]!.runs[0]!.laps.filter(({ gapS }) => gapS !== null);
    expect(laps.map(({ counted }) => counted)).toEqual([true, true]);
    for (const lap of laps)
      expect(Math.abs(lap.ledger.reduce((sum, c) => sum + c.gapS, 0) - lap.gapS!)).toBeLessThan(1e-6);
    const samples = sessions[0]!.runs[0]!.samples;
    expect(samples.rows).toBe(11900);
    expect(
      samples.used +
        samples.held +
        samples.outlier +
        samples.offLine +
        samples.noPosition +
        samples.repeatedTime +
        samples.noTime,
    ).toBe(11900);
    expect(curves.size).toBeGreaterThanOrEqual(2);
  });
});

const SIMULATOR = `stage: simulation
axes: level
columns:
  time: { from: t_s, unit: s }
  east: { from: x_m, unit: m }
  north: { from: y_m, unit: m }
  heading: { from: heading_rad, unit: rad, fromEast: true }
  speed: { from: vx_mps, unit: m/s }`;

withReference('simulated controllers on a course of 18 m', () => {
  // Source: reference check h-data/sim-course-a (open simulation data; crossings by plain interpolation at 50 Hz).
  interface Run {
    file: string;
    gates: GateAt[];
  }
  const check = readCheck<Run, { crossing_times_s: number[][]; lap_times_s: number[][] }>('h-data/sim-course-a.json');
  const runs = check.cases.filter(({ in: given }) => given.gates && typeof given.file === 'string');
  const centre = plain('h-data/sim-course-a-centre.csv');

  /** Crossings of a gate that stands as the check says: by positions alone, and by place. */
  const crossed = async (file: string, gate: GateAt): Promise<{ plain: number[]; placed: number[] }> => {
    const points = withGate(
      { name: 'small', plane: null, line: centre },
      { eastM: gate.point_m[0], northM: gate.point_m[1] },
    );
    const small = new SmallCampaign(
      points,
      [{ id: '2026-01-01-a', keys: SIMULATOR, logs: { 'run.csv': readReference(`h-data/${file}`) } }],
      { point: gate.point_m, direction: gate.direction, halfWidthM: 0.25 },
    );
    const [laid] = await small.laid('2026-01-01-a');
    const laps = laid!.laps.filter(({ lap }) => lap.fromGate);
    return {
      plain: laps.map(({ lap }) => lap.startS),
      placed: laps.flatMap(({ aligned }) => (aligned ? [aligned.startS] : [])),
    };
  };

  // Gate 3 stands in a bend whose centre of curvature the cars cut inside of: no place along the line means anything there.
  const OUTSIDE_CURVATURE = 2;

  test.each(runs)(
    '$id: every crossing of five gates is right within 2 ms by position, and 3 ms by place',
    async ({ in: given, out }) => {
      for (const [g, gate] of given.gates.entries()) {
        const { plain: byPosition, placed } = await crossed(given.file, gate);
        const truth = out.crossing_times_s[g]!;
        expect(byPosition, `gate ${g + 1}`).toHaveLength(truth.length);
        for (const [i, t] of byPosition.entries()) expect(Math.abs(t - truth[i]!), `gate ${g + 1}`).toBeLessThan(0.002);
        if (g === OUTSIDE_CURVATURE) continue;
        expect(placed, `gate ${g + 1}`).toHaveLength(truth.length);
        for (const [i, t] of placed.entries()) expect(Math.abs(t - truth[i]!), `gate ${g + 1}`).toBeLessThan(0.003);
      }
    },
  );
});
