import type { AlignedLap } from '../align/alignLap.ts';
import type { AlignedRun } from '../align/alignRun.ts';
import type { Effects } from '../effects.ts';
import { sha256 } from '../effects.ts';
import { cellsOf } from '../gap/cells.ts';
import { closureOf } from '../gap/closure.ts';
import { curvesOf } from '../gap/curve.ts';
import { ledgerOf } from '../gap/ledger.ts';
import { PLAN_APART_M, planApartM } from '../gap/plan.ts';
import { usualStep } from '../numbers/steps.ts';
import type { Problem } from '../problem.ts';
import type { RunSetup } from '../read/sessionFile.ts';
import { zonesOf } from '../technique/proposePhases.ts';
import { commonRules, type Rules, rulesOf, techniqueOf, type Zone } from '../technique/technique.ts';
import { accepted } from './accepted.ts';
import { type Airs, airGap, airsOf } from './airOf.ts';
import { type LaidRun, layRun, type WantedLaps } from './alignedRun.ts';
import { compositeOf } from './findings/compositeOf.ts';
import { type JudgedLap, judged } from './judge.ts';
import { type Compared, giveCauses } from './lapCausesOf.ts';
import type { LoadedCampaign, LoadedSession } from './load.ts';
import { nameOf, type Reference } from './reference.ts';
import {
  type CornerTechnique,
  type LapCurves,
  type LapResult,
  METHOD_VERSION,
  RESULTS_SCHEMA,
  type RunResult,
  type SessionResult,
} from './results.ts';
import { runFiles, sessionFiles } from './standsOn.ts';
import { summaryOf } from './summary.ts';

/** A session's result and the curves of its laps by file name. */
export interface Analysis {
  readonly result: SessionResult;
  readonly curves: ReadonlyMap<string, LapCurves>;
}

/** Position of a lap's official time may be off ours by this beyond three standard deviations, s. */
const OFFICIAL_ROUNDING_S = 0.002;

/** A part of a session that somebody waits for. */
export interface Focus {
  readonly run: string;
  /** Which laps to lay at all. */
  readonly laps: WantedLaps;
  /** Numbers of the laps that want ledger, technique and curves. */
  wanted(laps: readonly JudgedLap[]): readonly number[];
}

/**
 * Analyses a session: every run laid on the circuit, every lap judged, and, where there is a reference, ledger,
 * technique and curves of each lap.
 *
 * @param focus one run alone, and of it the laps that are wanted in full; null for everything
 * @param causes split the gaps by cause as well
 */
export async function analyseSession(
  loaded: LoadedCampaign,
  home: LoadedSession,
  reference: Reference | null,
  effects: Effects,
  focus: Focus | null = null,
  causes = false,
): Promise<Analysis | null> {
  const { session, id } = home;
  const circuit = session && loaded.circuits.get(session.circuit);
  if (!session || !circuit) return null;
  const curves = new Map<string, LapCurves>();
  const runs: RunResult[] = [];
  const used = new Set<string>();
  const compared: Compared[] = [];
  const airs = airsOf(loaded, session, reference);
  for (const setup of session.runs) {
    if (focus !== null && setup.files[0] !== focus.run) continue;
    effects.progress(`${id}: ${setup.files[0]}`);
    const laid =
      reference?.runs.find((run) => run.setup === setup) ??
      (await layRun(home.folder, id, setup, circuit, effects, focus?.laps ?? 'all'));
    const problems = [...laid.problems];
    const laps = judged(laid, session.choices);
    for (const { lap } of laps) used.add(`${laid.file}/${lap.number}`);
    const wanted = focus?.wanted(laps) ?? null;
    const results = laps.map((lap): LapResult => {
      const full = wanted === null || wanted.includes(lap.lap.number);
      const { result, curve, technique } = lapResult(id, laid, lap, reference, full, airs);
      if (technique && lap.aligned)
        compared.push({ lap: lap.aligned, result, run: laid.file, machine: setup.machine, ...technique });
      if (curve && result.curves) curves.set(result.curves, curve);
      return result;
    });
    problems.push(
      ...officialProblems(id, laid, laps),
      ...closureProblems(id, laid, laps, reference),
      ...planProblems(id, laid, laps),
    );
    const files = await runFiles(home.folder, id, laid, effects);
    runs.push(runResult(laid, setup, results, accepted(problems, session.accept), files));
  }
  const unknown = session.choices.filter((c) => focus === null && !used.has(`${c.run}/${c.lap}`));
  const problems = [
    ...home.problems,
    ...accepted(
      unknown.map(
        (c): Problem => ({
          code: 'LAP_UNKNOWN',
          severity: 'stop',
          place: { file: home.file, line: c.line, key: 'laps' },
          found: `lap ${c.lap} of ${c.run}, which is not there`,
          expected: 'a lap that the run has; `gapbook check` lists them',
          remedy: 'correct the number: 0 is the out lap, 1 the first from gate to gate',
        }),
      ),
      session.accept,
    ),
  ];
  const summary = summaryOf(id, session.rider, runs);
  const envelope = reference && causes ? giveCauses(id, compared, reference, summary) : null;
  const rider = loaded.campaign.riders[session.rider] ?? { name: session.rider, kind: 'robot' as const };
  return {
    result: {
      schema: RESULTS_SCHEMA,
      method: METHOD_VERSION,
      session: id,
      date: session.date,
      stage: session.stage,
      circuit: session.circuit,
      rider: { key: session.rider, ...rider },
      controller: session.controller,
      conditions: { ...session.conditions },
      notes: session.notes,
      notesLine: session.notesLine,
      inputs: await sessionFiles(loaded, id, session.circuit, reference, effects),
      phaseMap: reference?.map?.version ?? null,
      reference: reference && nameOf(reference),
      summary,
      ...(envelope ? { envelope } : {}),
      composite: compositeOf(session.rider, runs, reference?.map?.corners ?? [], circuit.lengthM, curves),
      runs,
      problems,
    },
    curves,
  };
}

function lapResult(
  id: string,
  laid: LaidRun,
  { lap, aligned, valid, countable, capped, reasons }: JudgedLap,
  reference: Reference | null,
  full: boolean,
  airs: Airs | null,
): { result: LapResult; curve: LapCurves | null; technique: Pick<Compared, 'own' | 'other'> | null } {
  const comparable = reference === null || lap.kind === reference.lap.lap.kind;
  const base: LapResult = {
    lap: lap.number,
    kind: lap.kind,
    startS: aligned?.startS ?? lap.startS,
    timeS: aligned?.timeS ?? null,
    coveredM: aligned?.coveredM ?? 0,
    valid,
    counted: countable && comparable,
    capped,
    reasons: [...reasons],
    officialS: lap.officialS,
    gapS: null,
    sigmaS: null,
    planS: null,
    executionS: null,
    closureWorstS: null,
    ledger: [],
    technique: [],
    air: null,
    causes: null,
    curves: null,
  };
  const map = reference?.map;
  if (!full || !reference || !map || !aligned || aligned.coveredM <= 0)
    return { result: base, curve: null, technique: null };

  const zones = zonesOf(map);
  const rules = commonRules(rulesOf(aligned), rulesOf(reference.lap));
  const own = techniqueOf(aligned, zones, rules);
  const other = referenceTechnique(reference, zones, rules);
  const onsets = map.corners.map(({ name }) =>
    [own, other].flatMap((measured) => {
      const onset = measured.find(({ corner }) => corner === name)?.brakeOnsetM;
      return onset === null || onset === undefined ? [] : [onset];
    }),
  );
  const cells = cellsOf(map, onsets);
  const complete = aligned.timeS !== null;
  const ledger = ledgerOf(aligned, reference.lap, cells);
  const curves = curvesOf(aligned, reference.lap);
  const stem = laid.file.replace(/\.[a-z0-9]+(\.(gz|zst))?$/i, '').replace(/[^A-Za-z0-9._-]/g, '-');
  return {
    result: {
      ...base,
      gapS: ledger.gapS,
      sigmaS: ledger.sigmaS,
      planS: ledger.planS,
      executionS: ledger.executionS,
      closureWorstS: closureOf(aligned, cells).worst?.differenceS ?? null,
      ledger: [...ledger.entries],
      technique: own as CornerTechnique[],
      air: airs && complete ? airGap(aligned, reference.lap, airs, map.corners) : null,
      curves: `curves/${id}/${stem}-lap-${lap.number}.json`,
    },
    technique: { own, other },
    curve: {
      schema: RESULTS_SCHEMA,
      session: id,
      run: laid.file,
      lap: lap.number,
      stepM: curves.stepM,
      timeS: digits(curves.timeS, 4),
      gapS: digits(curves.gapS, 4),
      sigmaS: digits(curves.sigmaS, 4),
      speedMps: digits(curves.speedMps, 3),
      referenceMps: digitsOnce(curves.referenceMps, 3),
      offsetM: digits(curves.offsetM, 3),
      referenceOffsetM: digitsOnce(curves.referenceOffsetM, 3),
    },
  };
}

/** The values with so many places behind the point; null for NaN, which JSON has not. */
function digits(values: Float64Array, places: number): (number | null)[] {
  const scale = 10 ** places;
  // Numbers alone take a third of the memory of numbers and nulls, and most curves have no null.
  const out = new Array<number>(values.length);
  let whole = true;
  for (let i = 0; i < out.length; i++) {
    out[i] = Math.round(values[i]! * scale) / scale;
    whole &&= Number.isFinite(out[i]!);
  }
  return whole ? out : out.map((v) => (Number.isFinite(v) ? v : null));
}

const written = new WeakMap<Float64Array, (number | null)[]>();

/** {@link digits} of what many laps are compared with. */
function digitsOnce(values: Float64Array, places: number): (number | null)[] {
  let out = written.get(values);
  if (!out) written.set(values, (out = digits(values, places)));
  return out;
}

const measuredReference = new WeakMap<AlignedLap, Map<string, ReturnType<typeof techniqueOf>>>();

/** The reference's technique under the rules of a pair, measured once for each. */
function referenceTechnique({ lap }: Reference, zones: readonly Zone[], rules: Rules): ReturnType<typeof techniqueOf> {
  let byRules = measuredReference.get(lap);
  if (!byRules) measuredReference.set(lap, (byRules = new Map()));
  const key = `${rules.braking} ${rules.pickUp} ${zones.map((z) => `${z.fromM} ${z.entryM} ${z.exitM}`).join(' ')}`;
  let measured = byRules.get(key);
  if (!measured) byRules.set(key, (measured = techniqueOf(lap, zones, rules)));
  return measured;
}

function officialProblems(id: string, laid: LaidRun, laps: readonly JudgedLap[]): Problem[] {
  return laps.flatMap(({ lap, aligned }): Problem[] => {
    if (lap.officialS === null || aligned?.timeS === null || aligned === null) return [];
    const { run } = aligned;
    const speed = run.rateMps[aligned.first] ?? 1;
    const sigma = (Math.SQRT2 * run.trace.quality.sigmaM) / Math.max(1, speed);
    const off = aligned.timeS - lap.officialS;
    const limit = OFFICIAL_ROUNDING_S + 3 * sigma;
    if (Math.abs(off) <= limit) return [];
    return [
      {
        code: 'OFFICIAL_TIMING',
        severity: 'warn',
        place: { file: `${id}/${laid.file}`, lap: lap.number },
        found: `${aligned.timeS.toFixed(3)} s by the log, ${lap.officialS.toFixed(3)} s by the circuit`,
        expected: `a difference of at most ${limit.toFixed(3)} s`,
        remedy: 'check the number of the lap and where the gate stands',
      },
    ];
  });
}

function planProblems(id: string, laid: LaidRun, laps: readonly JudgedLap[]): Problem[] {
  const apart = laps.flatMap(({ aligned, valid }) => (aligned && valid ? [planApartM(aligned) ?? 0] : []));
  const [worst = 0] = apart.toSorted((a, b) => b - a);
  if (worst <= PLAN_APART_M) return [];
  return [
    {
      code: 'PLAN_LINE',
      severity: 'warn',
      place: { file: `${id}/${laid.file}`, column: 'target_offset' },
      found: `a planned path ${worst.toFixed(1)} m from the ridden one, in the median of a lap`,
      expected: 'an offset from the reference line of the circuit file, left positive',
      remedy: 'give the circuit the line that the robot plans on; until then plan and execution are not told apart',
    },
  ];
}

function closureProblems(
  id: string,
  laid: LaidRun,
  laps: readonly JudgedLap[],
  reference: Reference | null,
): Problem[] {
  const map = reference?.map;
  if (!map) return [];
  const cells = cellsOf(map, []);
  const faults = laps.flatMap(({ lap, aligned, valid }) => {
    if (!valid || aligned === null || aligned.timeS === null) return [];
    const { worst, fails } = closureOf(aligned, cells);
    return worst && fails ? [{ lap: lap.number, ...worst }] : [];
  });
  const [first] = faults.toSorted((x, y) => Math.abs(y.differenceS) - Math.abs(x.differenceS));
  if (!first) return [];
  return [
    {
      code: 'CLOSURE',
      severity: 'warn',
      place: { file: `${id}/${laid.file}`, lap: first.lap },
      found: `${Math.abs(first.differenceS * 1000).toFixed(0)} ms ${first.differenceS > 0 ? 'longer' : 'shorter'} by speed than by position from ${first.fromM.toFixed(0)} to ${first.toM.toFixed(0)} m (corner ${first.corner}); ${faults.length} lap(s) in all`,
      expected: `agreement within ${(first.limitS * 1000).toFixed(0)} ms`,
      remedy:
        'times come from position and stand; check the unit of the speed, and whether it is a wheel speed that over-reads in lean',
    },
  ];
}

/** Fixes that were set aside, and those without a place on the line. */
function unused({ outlier, path }: AlignedRun): { outlier: number; offLine: number } {
  const out = { outlier: 0, offLine: 0 };
  for (let j = 0; j < outlier.length; j++) {
    if (outlier[j]) out.outlier++;
    else if (Number.isNaN(path.stationM[j]!)) out.offLine++;
  }
  return out;
}

function runResult(
  laid: LaidRun,
  setup: RunSetup,
  laps: LapResult[],
  problems: Problem[],
  inputs: Readonly<Record<string, string>>,
): RunResult {
  const { recording, run } = laid;
  const trace = run?.trace;
  const rows = recording?.rows ?? 0;
  const { outlier, offLine } = run ? unused(run) : { outlier: 0, offLine: 0 };
  const fixes = trace?.fixes.timeS.length ?? 0;
  const rate = (timeS: Float64Array | undefined): number | null => {
    if (!timeS || timeS.length < 2) return null;
    return Math.round(10 / usualStep(timeS)) / 10;
  };
  return {
    file: laid.file,
    sha256: recording?.sha256 ?? '',
    bytes: recording?.bytes ?? 0,
    rider: setup.rider,
    kind: setup.kind,
    configuration: { ...setup.configuration },
    configurationHash: sha256(JSON.stringify(Object.entries(setup.configuration).sort())).slice(0, 12),
    inputs: { ...inputs },
    incidents: setup.incidents.map((incident) => ({ ...incident })),
    channels: recording?.columns.map(({ name, column, unit }) => ({ name, column, unit })) ?? [],
    otherColumns: [...(recording?.otherColumns ?? [])],
    emulated: [...setup.emulated],
    rateHz: rate(trace?.timeS),
    positionRateHz: rate(trace?.fixes.timeS),
    samples: {
      rows,
      used: fixes - outlier - offLine,
      held: trace?.held ?? 0,
      outlier,
      offLine,
      noPosition: trace ? trace.noPosition : rows,
      repeatedTime: trace?.clock.repeated ?? 0,
      noTime: trace?.clock.noTime ?? 0,
      reordered: trace?.clock.reordered ?? 0,
    },
    quality: {
      positionSigmaM: trace?.quality.sigmaM ?? 0,
      positionSigmaFrom: trace?.quality.sigmaFrom ?? 'assumed',
      shiftSigmaM: trace?.quality.shiftSigmaM ?? 0,
      speedSigmaMps: run?.speedSigmaMps ?? null,
    },
    problems,
    laps,
  };
}
