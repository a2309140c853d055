import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, test } from 'vitest';
import { analyseCampaign } from '../../src/campaign/analyseCampaign.ts';
import { loadCampaign } from '../../src/campaign/load.ts';
import {
  type CampaignResult,
  campaignResult,
  type LapCurves,
  lapCurves,
  type SessionResult,
  sessionResult,
} from '../../src/campaign/results.ts';
import { machine } from '../../src/effects.ts';

// Truth: what the simulator of the demo wrote beside its logs (tests/simulator/truth.json). It shares no code with src.
interface Truth {
  sessions: Record<
    string,
    {
      runs: Record<string, { crossingsS: number[]; lapTimesS: number[] }>;
      planted: {
        bend: string | null;
        fault: string;
        costS: number;
        robot: Record<string, number>;
        reference: Record<string, number>;
      }[];
    }
  >;
}

const root = fileURLToPath(new URL('../..', import.meta.url));
const truth = JSON.parse(readFileSync(`${root}/tests/simulator/truth.json`, 'utf8')) as Truth;
let campaign: CampaignResult;
const sessions = new Map<string, SessionResult>();
const curves = new Map<string, LapCurves>();

beforeAll(async () => {
  const effects = machine();
  const loaded = await loadCampaign({ content: `${root}/content`, sessions: `${root}/sample-sessions` }, effects);
  campaign = await analyseCampaign(
    loaded,
    { toolVersion: '0', asOf: null, keepMaps: false },
    {
      session: async (result, own) => {
        sessions.set(result.session, result);
        for (const [path, curve] of own) curves.set(path, curve);
      },
      campaign: async () => {},
    },
    effects,
  );
});

const laps = () =>
  [...sessions.values()].flatMap((s) => s.runs.flatMap((run) => run.laps.map((lap) => ({ session: s, run, lap }))));

describe('the demo campaign', () => {
  test('every lap time is within 1 ms of the simulator’s, antennas, latencies and noise included', () => {
    let compared = 0;
    for (const { session, run, lap } of laps()) {
      if (lap.timeS === null) continue;
      const exact = truth.sessions[session.session]!.runs[run.file]!.lapTimesS[lap.lap - 1]!;
      expect(Math.abs(lap.timeS - exact), `${session.session} lap ${lap.lap}`).toBeLessThan(0.001);
      compared++;
    }
    expect(compared).toBe(21);
  });

  test('in every lap of every session the cells tile the lap and sum to its gap within 1 µs', () => {
    const { lengthM } = campaign.circuits[0]!;
    for (const { lap } of laps()) {
      if (lap.gapS === null) continue;
      expect(Math.abs(lap.ledger.reduce((sum, c) => sum + c.gapS, 0) - lap.gapS)).toBeLessThan(1e-6);
      let at = 0;
      for (const cell of lap.ledger) {
        expect(cell.fromM).toBeCloseTo(at, 9);
        at = cell.toM;
      }
      expect(at).toBeCloseTo(lengthM, 9);
    }
  });

  test('plan and execution sum to the gap in every cell', () => {
    const cells = laps().flatMap(({ lap }) => lap.ledger.filter((c) => c.planS !== null));
    expect(cells.length).toBeGreaterThan(300);
    for (const cell of cells) expect(Math.abs(cell.planS! + cell.executionS! - cell.gapS)).toBeLessThan(1e-9);
  });

  test('a lap against itself is level everywhere', () => {
    const { session, run, lap } = campaign.circuits[0]!.reference!;
    const own = sessions
      .get(session)!
      .runs.find((r) => r.file === run)!
      .laps.find((l) => l.lap === lap)!;
    expect(own.gapS).toBe(0);
    expect(own.ledger.every((c) => c.gapS === 0 && c.sigmaS === 0)).toBe(true);
    expect(curves.get(own.curves!)!.gapS.every((gap) => gap === 0)).toBe(true);
  });

  test('the lap with a hole and the lap with an intervention do not count, with the reason said', () => {
    const bad = laps().filter(({ lap }) => lap.kind === 'flying' && !lap.valid);
    expect(bad.map(({ session, lap }) => [session.session, lap.lap, lap.reasons.map((r) => r.code)])).toEqual([
      ['2026-02-24-middle', 2, ['INTERVENTION']],
      ['2026-02-24-middle', 4, ['HOLE']],
    ]);
  });

  test('every row of every log is accounted for', () => {
    for (const session of sessions.values())
      for (const { samples: s, file } of session.runs)
        expect(
          s.used + s.held + s.outlier + s.offLine + s.noPosition + s.repeatedTime + s.noTime,
          `${session.session}/${file}`,
        ).toBe(s.rows);
  });

  test('the planted story of the latest session is found where it was planted', () => {
    const latest = sessions.get('2026-03-17-latest')!;
    const planted = truth.sessions['2026-03-17-latest']!.planted;
    const fault = (bend: string, name: string) => planted.find((p) => p.bend === bend && p.fault === name)!;
    const cell = (corner: string, phase: string): number =>
      latest
        .summary!.cells.filter((c) => c.corner === corner && c.phase === phase && c.cell !== 'straight')
        .reduce((sum, c) => sum + c.medianGapS, 0);
    const technique = (corner: string) =>
      latest.runs[0]!.laps.filter((l) => l.counted).map((l) => l.technique.find((t) => t.corner === corner)!);
    const band = (corner: string) =>
      campaign.circuits[0]!.referenceBand!.technique.map((l) => l.find((t) => t.corner === corner)!);
    const median = (values: (number | null)[]): number =>
      values.filter((v) => v !== null).toSorted((a, b) => a - b)[values.length >> 1]!;

    // Late pick-up out of the hairpin: the drive out of corner 3 holds most of the planted 0.61 s; the throttle is late
    // by the planted difference within 3 m.
    const late = fault('3', 'late pick-up');
    expect(cell('3', 'drive')).toBeGreaterThan(0.8 * late.costS);
    const pickUp = median(technique('3').map((t) => t.pickUpM)) - median(band('3').map((t) => t.pickUpM));
    expect(Math.abs(pickUp - (late.robot['lateM']! - late.reference['lateM']!))).toBeLessThan(3);

    // Early braking for corner 6: the braking phase holds most of what it cost alone, and the robot brakes earlier than
    // the reference although it arrives more slowly and so would need less room.
    const early = fault('6', 'braking early');
    expect(cell('6', 'braking')).toBeGreaterThan(0.8 * early.costS);
    const onset = median(band('6').map((t) => t.brakeOnsetM)) - median(technique('6').map((t) => t.brakeOnsetM));
    expect(onset).toBeGreaterThan(5);
    expect(onset).toBeLessThan(early.robot['earlyM']! - early.reference['earlyM']!);

    // Slow to lean over: the chicane, corners 7 and 8 together, loses at least half of what both cost alone.
    const chicane = ['braking', 'apex', 'drive'].reduce((sum, phase) => sum + cell('7', phase) + cell('8', phase), 0);
    expect(chicane).toBeGreaterThan(
      0.5 * (fault('7', 'slow to lean over').costS + fault('8', 'slow to lean over').costS),
    );
  });

  test('results and curves are what their schemas say, and survive JSON', () => {
    const copy = <T>(value: T): T => JSON.parse(JSON.stringify(value));
    expect(campaignResult.parse(copy(campaign)).sessions).toHaveLength(5);
    for (const session of sessions.values()) sessionResult.parse(copy(session));
    for (const curve of curves.values()) lapCurves.parse(curve);
  });

  test('the demo has no problem that stops', () => {
    const problems = [
      ...campaign.problems,
      ...[...sessions.values()].flatMap((s) => [...s.problems, ...s.runs.flatMap((r) => r.problems)]),
    ];
    expect(problems.filter((p) => p.severity === 'stop')).toEqual([]);
  });
});
