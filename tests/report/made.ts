import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { digestOf } from '../../src/campaign/findings/digest.ts';
import { findingsOf } from '../../src/campaign/findings/findingsOf.ts';
import type {
  CampaignResult,
  CircuitView,
  LapCurves,
  LapResult,
  LedgerCell,
  SessionResult,
} from '../../src/campaign/results.ts';
import { type Results, readResults } from '../../src/report/readResults.ts';

/** One lap: what it lost in each of the 16 cells (four corners, four cells each), or that it is not valid. */
export interface MadeLap {
  readonly gaps?: readonly number[];
  readonly invalid?: string;
}

/** One session of a made campaign. */
export interface MadeSession {
  readonly name: string;
  readonly date: string;
  readonly laps: readonly MadeLap[];
  readonly stage?: SessionResult['stage'];
  readonly controller?: string;
  readonly run?: string;
  readonly rider?: 'robot' | 'human';
  readonly conditions?: Readonly<Record<string, string>>;
}

/** A made campaign on a round course of 1200 m. */
export interface Made {
  readonly title?: string;
  readonly circuit?: string;
  /** Names of its four corners. */
  readonly corners?: readonly [string, string, string, string];
  readonly riders?: { readonly robot: string; readonly human: string };
  readonly sessions: readonly MadeSession[];
  /** Whether a lap of the reference rider is known; one session of theirs is then put first. */
  readonly reference?: boolean;
  readonly targets?: CampaignResult['targets'];
  readonly stageGates?: CampaignResult['stageGates'];
  readonly milestones?: CampaignResult['milestones'];
  readonly edition?: CampaignResult['edition'];
}

const LENGTH_M = 1200;
const REFERENCE_S = 60;
const CURVE_STEP_M = 10;
const CELLS = ['straight', 'braking', 'apex', 'exit'] as const;
const PHASE = { straight: 'drive', braking: 'braking', apex: 'apex', exit: 'drive' } as const;
/** Lengths of the four cells of a corner, metres: 300 in all. */
const STARTS = [0, 120, 180, 220, 300];

/** Sixteen equal losses that add up to a lap's gap. */
export const even = (gapS: number): number[] => Array<number>(16).fill(gapS / 16);

/** Writes a campaign as the analysis would have left it, and reads it back. Nothing in it was measured. */
export function made(campaign: Made): Results {
  const folder = mkdtempSync(join(tmpdir(), 'gapbook-made-'));
  const write = (path: string, value: unknown): void => {
    mkdirSync(dirname(join(folder, path)), { recursive: true });
    writeFileSync(join(folder, path), JSON.stringify(value));
  };
  const corners = campaign.corners ?? ['1', '2', '3', '4'];
  const circuit = campaign.circuit ?? 'ring';
  const withReference = campaign.reference ?? true;
  const day: MadeSession = { name: '2026-01-01-reference', date: '2026-01-01', rider: 'human', laps: [{}, {}] };
  const sessions = [...(withReference ? [day] : []), ...campaign.sessions];
  const riders = campaign.riders ?? { robot: 'Robot', human: 'Reference rider' };
  const reference = withReference
    ? { session: day.name, run: 'run.csv', lap: 1, timeS: REFERENCE_S, rider: riders.human }
    : null;

  const ledgerOf = (gaps: readonly number[]): LedgerCell[] =>
    gaps.map((gapS, i) => {
      const cell = CELLS[i % 4]!;
      const from = Math.floor(i / 4) * 300;
      return {
        corner: corners[Math.floor(i / 4)]!,
        cell,
        phase: PHASE[cell],
        fromM: from + STARTS[i % 4]!,
        toM: from + STARTS[(i % 4) + 1]!,
        referenceS: REFERENCE_S / 16,
        gapS,
        sigmaS: 0.004,
        planS: null,
        executionS: null,
      };
    });
  const techniqueOf = (shiftM: number): LapResult['technique'] =>
    corners.map((corner, k) => ({
      corner,
      rule: { braking: 'brake', pickUp: 'throttle' },
      brakeOnsetM: k * 300 + 120 - shiftM,
      brakeReleaseM: k * 300 + 180,
      timeToPeakS: 0.3,
      peakDecelerationMps2: 9,
      meanDecelerationMps2: 7,
      brakeLeanOverlapS: 0.2,
      slowestM: k * 300 + 200,
      slowestMps: 20 - shiftM / 10,
      maxLeanRad: 0.8,
      maxRollRateRadps: 1.2,
      pickUpM: k * 300 + 220 + shiftM,
      fullDriveM: k * 300 + 260,
      coastingS: 0.2,
      exitMps: 30,
      shifts: [],
    }));

  const written = sessions.map((s): SessionResult => {
    const human = s.rider === 'human';
    const compares = !human && reference !== null;
    const run = s.run ?? 'run.csv';
    const laps = s.laps.map((lap, i): LapResult => {
      const gaps = lap.gaps ?? even(0);
      const gapS = gaps.reduce((a, b) => a + b, 0);
      const valid = lap.invalid === undefined;
      const curves: LapCurves = {
        schema: 1,
        session: s.name,
        run,
        lap: i + 1,
        stepM: CURVE_STEP_M,
        ...curvesOf(gapS, compares || human),
      };
      const path = `curves/${s.name}/${i + 1}.json`;
      write(path, curves);
      return {
        lap: i + 1,
        kind: 'flying',
        startS: 100 * i,
        timeS: REFERENCE_S + gapS,
        coveredM: LENGTH_M,
        valid,
        counted: valid,
        capped: null,
        reasons: valid ? [] : [{ code: 'LAP_POSITION', text: lap.invalid! }],
        officialS: null,
        gapS: compares ? gapS : null,
        sigmaS: compares ? 0.01 : null,
        planS: null,
        executionS: null,
        closureWorstS: null,
        ledger: compares ? ledgerOf(gaps) : [],
        technique: techniqueOf(human ? 0 : 5),
        air: null,
        causes: null,
        curves: path,
      };
    });
    const counted = laps.filter((l) => l.counted);
    const times = counted.map((l) => l.timeS!).sort((a, b) => a - b);
    const middle = (values: readonly number[]): number => {
      const sorted = [...values].sort((a, b) => a - b);
      return (sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!) / 2;
    };
    const named = (lap: number) => ({ session: s.name, run, lap });
    return {
      schema: 1,
      method: 1,
      session: s.name,
      date: s.date,
      stage: s.stage ?? 'track',
      circuit,
      rider: {
        key: human ? 'human' : 'robot',
        name: human ? riders.human : riders.robot,
        kind: human ? 'human' : 'robot',
      },
      controller: human ? null : (s.controller ?? '1.0'),
      conditions: { ...s.conditions },
      notes: '',
      notesLine: 1,
      inputs: { session: {}, circuit: {}, phaseMap: {}, reference: {} },
      phaseMap: 1,
      reference,
      summary:
        counted.length === 0
          ? null
          : {
              laps: counted.length,
              medianS: middle(times),
              medianGapS: compares ? middle(counted.map((l) => l.gapS!)) : null,
              medianLap: named(counted[0]!.lap),
              bestLap: named(counted[0]!.lap),
              bestS: times[0]!,
              bestGapS: compares ? times[0]! - REFERENCE_S : null,
              slowestS: times.at(-1)!,
              cells: compares
                ? ledgerOf(even(0)).map((cell, k) => {
                    const values = counted.map((l) => l.ledger[k]!.gapS);
                    return {
                      corner: cell.corner,
                      cell: cell.cell,
                      phase: cell.phase,
                      fromM: cell.fromM,
                      toM: cell.toM,
                      medianGapS: middle(values),
                      lowGapS: Math.min(...values),
                      highGapS: Math.max(...values),
                      slowerLaps: values.filter((v) => v > 0).length,
                    };
                  })
                : [],
            },
      composite: null,
      runs: [
        {
          file: run,
          sha256: 'ab'.repeat(32),
          bytes: 1000,
          rider: human ? 'human' : 'robot',
          kind: 'laps',
          configuration: human ? {} : { controller: s.controller ?? '1.0' },
          configurationHash: human ? '0'.repeat(12) : `c${s.controller ?? '1.0'}`,
          inputs: { [run]: 'ab'.repeat(32) },
          incidents: [],
          channels: [{ name: 'speed', column: 'v', unit: 'm/s' }],
          otherColumns: [],
          emulated: [],
          rateHz: 50,
          positionRateHz: 10,
          samples: {
            rows: 100,
            used: 100,
            held: 0,
            outlier: 0,
            offLine: 0,
            noPosition: 0,
            repeatedTime: 0,
            noTime: 0,
            reordered: 0,
          },
          quality: { positionSigmaM: 0.02, positionSigmaFrom: 'log', shiftSigmaM: 0, speedSigmaMps: 0.1 },
          problems: [],
          laps,
        },
      ],
      problems: [],
    };
  });

  const view: CircuitView = {
    id: circuit,
    name: circuit,
    lengthM: LENGTH_M,
    stepM: 2,
    ...ring(),
    edgeLeftM: null,
    edgeRightM: null,
    gate: [
      [190, 0],
      [200, 0],
    ],
    phaseMap: 1,
    corners: corners.map((name, k) => ({
      name,
      direction: 'left',
      entryM: k * 300 + 180,
      exitM: k * 300 + 240,
      radiusM: 191,
      a: k * 300,
      b: k * 300 + 120,
      r: k * 300 + 180,
      p: k * 300 + 220,
      brakes: true,
    })),
    reference,
    referenceBand: reference
      ? {
          laps: 2,
          lowMps: Array<number>(LENGTH_M / 2).fill(19.5),
          highMps: Array<number>(LENGTH_M / 2).fill(20.5),
          medianMps: Array<number>(LENGTH_M / 2).fill(20),
          technique: [techniqueOf(0), techniqueOf(0.5)],
        }
      : null,
  };
  const result: CampaignResult = {
    schema: 1,
    method: 1,
    tool: { name: 'gapbook', version: '0.0.0' },
    asOf: sessions.at(-1)?.date ?? '2026-01-01',
    title: campaign.title ?? 'A made campaign',
    about: '',
    aboutLine: 1,
    site: null,
    weeks: [],
    stageGates: [...(campaign.stageGates ?? [])],
    milestones: [...(campaign.milestones ?? [])],
    edition: campaign.edition ?? null,
    riders: { robot: { name: riders.robot, kind: 'robot' }, human: { name: riders.human, kind: 'human' } },
    targets: campaign.targets ?? [],
    circuits: [view],
    sessions: sessions.map((s) => s.name),
    findings: findingsOf(written.map(digestOf), { circuits: [view], targets: campaign.targets ?? [] }),
    problems: [],
  };
  write('campaign.json', result);
  for (const session of written) write(`results/${session.session}.json`, session);
  return readResults(folder);
}

/** The reference line: a circle of the course's length. */
function ring(): { eastM: number[]; northM: number[] } {
  const radius = LENGTH_M / (2 * Math.PI);
  const angle = (i: number): number => (i * 2) / radius;
  const n = LENGTH_M / 2;
  return {
    eastM: Array.from({ length: n }, (_, i) => radius * Math.cos(angle(i))),
    northM: Array.from({ length: n }, (_, i) => radius * Math.sin(angle(i))),
  };
}

/** Curves at even speed whose gap grows evenly. */
function curvesOf(gapS: number, compares: boolean) {
  const each = <T>(of: (share: number) => T): T[] =>
    Array.from({ length: LENGTH_M / CURVE_STEP_M + 1 }, (_, i) => of((i * CURVE_STEP_M) / LENGTH_M));
  const null_ = each(() => null);
  return {
    timeS: each((f) => f * (REFERENCE_S + gapS)),
    gapS: compares ? each((f) => f * gapS) : null_,
    sigmaS: compares ? each((f) => 0.002 + f * 0.004) : null_,
    speedMps: each(() => LENGTH_M / (REFERENCE_S + gapS)),
    referenceMps: compares ? each(() => LENGTH_M / REFERENCE_S) : null_,
    offsetM: each(() => 0),
    referenceOffsetM: compares ? each(() => 0) : null_,
  };
}
