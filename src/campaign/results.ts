import { z } from 'zod';
import { fittedEnvelope, lapCausesResult } from '../causes/schema.ts';
import { compositeFound, findings } from './findings/schema.ts';

/**
 * What a session's analysis yields: the product of the tool, of which pages, tables and the terminal are views.
 * Keys end in their unit. Gap > 0: the robot was slower. Stations run from the gate, in metres along the reference line.
 */
export const RESULTS_SCHEMA = 1;
/** Version of the method; a change of any definition that moves a number by more than rounding raises it. */
export const METHOD_VERSION = 1;

const nullable = z.number().nullable();

export const phase = z.enum(['braking', 'apex', 'drive']);
export const stage = z.enum(['simulation', 'bench', 'track']);

const problem = z.strictObject({
  code: z.string(),
  severity: z.enum(['stop', 'warn', 'note']),
  place: z.strictObject({
    file: z.string(),
    line: z.number().optional(),
    byte: z.number().optional(),
    column: z.string().optional(),
    key: z.string().optional(),
    lap: z.number().optional(),
  }),
  found: z.string(),
  expected: z.string(),
  remedy: z.string(),
  accepted: z.string().optional(),
});

/** One cell of the ledger. Cells tile the lap; their gaps sum to the lap's gap. */
const cell = z.strictObject({
  corner: z.string().describe('corner whose window [a, next a) holds the cell'),
  cell: z.enum(['straight', 'braking', 'apex', 'exit']),
  phase,
  part: z.enum(['to gate', 'from gate']).optional().describe('set on the two halves of a cell that the gate cuts'),
  fromM: z.number(),
  toM: z.number(),
  referenceS: z.number().describe('time the reference lap spends in the cell'),
  gapS: z.number(),
  sigmaS: z.number().describe('one standard deviation from position, timing and reference point'),
  lengthS: nullable.optional().describe('what of the gap the longer way costs; the rest is speed'),
  planS: nullable.describe('planned time minus reference time, where the plan was logged'),
  executionS: nullable.describe('ridden time minus planned time'),
});

/** What was measured of a rider in one corner; null where the channel or the event is missing. */
const technique = z.strictObject({
  corner: z.string(),
  rule: z.strictObject({
    braking: z.enum(['brake', 'speed', 'none']).describe('channel that brake onset and release were read from'),
    pickUp: z.enum(['throttle', 'speed', 'none']),
  }),
  brakeOnsetM: nullable,
  brakeReleaseM: nullable,
  timeToPeakS: nullable,
  peakDecelerationMps2: nullable,
  meanDecelerationMps2: nullable,
  brakeLeanOverlapS: nullable,
  slowestM: z.number(),
  slowestMps: z.number(),
  maxLeanRad: nullable,
  maxRollRateRadps: nullable,
  pickUpM: nullable,
  fullDriveM: nullable,
  coastingS: nullable,
  exitMps: z.number().describe('speed at the fixed exit station of the phase map'),
  shifts: z.array(z.strictObject({ stationM: z.number(), from: z.number(), to: z.number(), durationS: nullable })),
});

const lap = z.strictObject({
  lap: z.number().int().describe('0 is the out lap; 1..n run from gate to gate'),
  kind: z.enum(['out', 'flying', 'standing', 'in']),
  startS: z.number().describe('on the clock of the log'),
  timeS: nullable.describe('gate to gate; null where the lap did not go round'),
  coveredM: z.number().describe('station reached before the lap or the log ended'),
  valid: z.boolean(),
  counted: z.boolean().describe('in statistics: valid, complete, of a kind that compares, not capped, not emulated'),
  capped: z.string().nullable().describe('the cap the lap was ridden under'),
  reasons: z.array(z.strictObject({ code: z.string(), text: z.string() })),
  officialS: nullable,
  gapS: nullable,
  sigmaS: nullable,
  planS: nullable,
  executionS: nullable,
  closureWorstS: nullable.describe('largest disagreement of speed and position over a section'),
  ledger: z.array(cell),
  technique: z.array(technique),
  air: z
    .strictObject({
      gapS: z.number(),
      corners: z.array(z.strictObject({ corner: z.string(), gapS: z.number() })),
    })
    .nullable()
    .describe('part of the gap that is wind and density of air of the two days; null where they are not noted'),
  causes: lapCausesResult.nullable().describe('null without a reference, for the reference itself, for invalid laps'),
  curves: z.string().nullable().describe('file of the lap’s curves, relative to this file'),
});

/** Files, as a person knows them, with their SHA-256. */
const files = z.record(z.string(), z.string());

const run = z.strictObject({
  file: z.string(),
  sha256: z.string(),
  bytes: z.number(),
  rider: z.string().describe('key of the rider; a session may hold runs of both'),
  kind: z.enum(['laps', 'coastdown', 'brake', 'low-speed']),
  configuration: z.record(z.string(), z.string()),
  configurationHash: z.string(),
  inputs: files.describe('the log, and a simulator’s own circuit'),
  incidents: z.array(z.strictObject({ timeS: z.number(), kind: z.string(), severity: nullable, closed: z.boolean() })),
  channels: z.array(z.strictObject({ name: z.string(), column: z.string(), unit: z.string() })),
  otherColumns: z.array(z.string()),
  emulated: z.array(z.string()),
  rateHz: nullable,
  positionRateHz: nullable,
  /** Every row is in exactly one of these. */
  samples: z.strictObject({
    rows: z.number(),
    used: z.number(),
    held: z.number().describe('position repeated from an earlier row; other channels of the row are used'),
    outlier: z.number().describe('position set aside because speed does not allow it'),
    offLine: z.number().describe('position without a place on the line: pit lane, paddock'),
    noPosition: z.number(),
    repeatedTime: z.number(),
    noTime: z.number(),
    reordered: z.number().describe('of the used rows, how many were out of order'),
  }),
  quality: z.strictObject({
    positionSigmaM: z.number(),
    positionSigmaFrom: z.enum(['log', 'session', 'stage', 'assumed']),
    shiftSigmaM: z.number().describe('unknown constant displacement along the machine, one standard deviation'),
    speedSigmaMps: nullable.describe('scatter of the speed channel against position'),
  }),
  problems: z.array(problem),
  laps: z.array(lap),
});

const lapName = z.strictObject({ session: z.string(), run: z.string(), lap: z.number() });

export const sessionResult = z.strictObject({
  schema: z.literal(RESULTS_SCHEMA),
  method: z.literal(METHOD_VERSION),
  session: z.string(),
  date: z.string(),
  stage,
  circuit: z.string(),
  rider: z.strictObject({ key: z.string(), name: z.string(), kind: z.enum(['robot', 'human']) }),
  controller: z.string().nullable(),
  conditions: z.record(z.string(), z.string()),
  notes: z.string().describe('the engineer’s text, Markdown'),
  notesLine: z.number().int().describe('line of the session file on which they begin'),
  /** What the numbers were made from, beside the logs of the runs. Notes are not among it. */
  inputs: z.strictObject({
    session: files.describe('the session file without its notes'),
    circuit: files,
    phaseMap: files,
    reference: files.describe('the choice in campaign.md, the reference’s session file and logs'),
  }),
  phaseMap: z.number().nullable(),
  reference: lapName.extend({ timeS: z.number(), rider: z.string() }).nullable(),
  /** Over the counted laps. Null where there is none. */
  summary: z
    .strictObject({
      laps: z.number().int(),
      medianS: z.number(),
      medianGapS: nullable,
      medianLap: lapName,
      bestLap: lapName,
      bestS: z.number(),
      bestGapS: nullable,
      slowestS: z.number(),
      /** Median over the counted laps of each cell, sorted as the cells of a lap. */
      cells: z.array(
        z.strictObject({
          corner: z.string(),
          cell: z.enum(['straight', 'braking', 'apex', 'exit']),
          phase,
          part: z.enum(['to gate', 'from gate']).optional(),
          fromM: z.number(),
          toM: z.number(),
          medianGapS: z.number(),
          lowGapS: z.number(),
          highGapS: z.number(),
          slowerLaps: z.number().int().describe('in how many of the laps the robot was slower here'),
        }),
      ),
    })
    .nullable(),
  composite: compositeFound.nullable(),
  envelope: fittedEnvelope.nullable().optional().describe('that causes were split by'),
  runs: z.array(run),
  problems: z.array(problem).describe('of the session file itself'),
});

/** Curves of one lap on an even grid of stations, index i at i * stepM. Empty stations are null. */
export const lapCurves = z.strictObject({
  schema: z.literal(RESULTS_SCHEMA),
  session: z.string(),
  run: z.string(),
  lap: z.number(),
  stepM: z.number(),
  timeS: z.array(nullable),
  gapS: z.array(nullable),
  sigmaS: z.array(nullable),
  speedMps: z.array(nullable),
  referenceMps: z.array(nullable),
  offsetM: z.array(nullable),
  referenceOffsetM: z.array(nullable),
});

/** A corner of the phase map, stations in metres from the gate; `entryM` may exceed `exitM` where the gate is inside. */
const mapCorner = z.strictObject({
  name: z.string(),
  direction: z.enum(['left', 'right', 'both']),
  entryM: z.number(),
  exitM: z.number(),
  radiusM: z.number(),
  a: z.number(),
  b: z.number(),
  r: z.number(),
  p: z.number(),
  brakes: z.boolean(),
});

/** A circuit as the pages draw it. */
const circuitView = z.strictObject({
  id: z.string(),
  name: z.string(),
  lengthM: z.number(),
  stepM: z.number(),
  eastM: z.array(z.number()).describe('reference line, index i at station i * stepM'),
  northM: z.array(z.number()),
  edgeLeftM: z.array(z.tuple([z.number(), z.number()])).nullable(),
  edgeRightM: z.array(z.tuple([z.number(), z.number()])).nullable(),
  gate: z.tuple([z.tuple([z.number(), z.number()]), z.tuple([z.number(), z.number()])]),
  phaseMap: z.number().nullable(),
  corners: z.array(mapCorner),
  reference: lapName.extend({ timeS: z.number(), rider: z.string() }).nullable(),
  /** Spread of the reference rider's valid laps on the grid of the line. */
  referenceBand: z
    .strictObject({
      laps: z.number(),
      lowMps: z.array(nullable),
      highMps: z.array(nullable),
      medianMps: z.array(nullable),
      technique: z.array(z.array(technique)).describe('per lap, per corner'),
    })
    .nullable(),
});

const line = z.strictObject({ text: z.string().describe('Markdown'), line: z.number().int() });

/** What was written about a milestone; its verdict is worked out from the sessions. */
const milestone = z.strictObject({
  id: z.string().describe('name of its file'),
  file: z.string(),
  title: z.string(),
  date: z.string().describe('day of the review; later sessions do not count'),
  target: z.strictObject({
    name: z.string().nullable(),
    due: z.string().nullable(),
    gapS: nullable,
    lapTimeS: nullable,
  }),
  evidence: z.array(
    z.strictObject({
      session: z.string(),
      run: z.string().nullable(),
      lap: nullable,
      line: z.number().int(),
    }),
  ),
  risk: z.number().describe('greatest chance of a false pass that is taken'),
  requires: z.strictObject({ laps: nullable, official: z.boolean(), surface: z.string().nullable() }),
  sentences: z.array(line.nullable()).describe('of the brief, in place of the computed ones'),
  decisions: z.array(line),
  risks: z.array(line),
  limits: z.array(line),
  signatures: z.array(z.strictObject({ role: z.string(), name: z.string().nullable(), date: z.string().nullable() })),
  text: z.string().describe('Markdown'),
  line: z.number().int(),
});

export const campaignResult = z.strictObject({
  schema: z.literal(RESULTS_SCHEMA),
  method: z.literal(METHOD_VERSION),
  tool: z.strictObject({ name: z.literal('gapbook'), version: z.string() }),
  asOf: z.string().describe('date of the newest input, or as asked'),
  title: z.string(),
  about: z.string().describe('body of campaign.md, Markdown'),
  aboutLine: z.number().int().describe('line of campaign.md on which it begins'),
  site: z.string().nullable().describe('address that the site will be read at'),
  weeks: z.array(
    z.strictObject({
      week: z.string().describe('ISO 8601, 2026-W11'),
      file: z.string(),
      title: z.string().nullable(),
      text: z.string().describe('the engineer’s text, Markdown'),
      line: z.number().int(),
      next: z.array(line),
      sentences: z.array(line.nullable()).describe('of the brief, in place of the computed ones'),
      decisions: z.array(line),
      risks: z.array(line),
    }),
  ),
  milestones: z.array(milestone).describe('by date, then by name'),
  stageGates: z
    .array(
      z.strictObject({
        name: z.string(),
        opens: stage,
        sameAs: z.array(z.string()).describe('keys of the configuration that evidence holds for'),
        criteria: z.array(
          z.strictObject({
            name: z.string(),
            value: z.number(),
            sd: z.number(),
            unit: z.string(),
            limit: z.number(),
            side: z.enum(['at most', 'at least']),
            evidence: z.string(),
            by: z.string().nullable(),
          }),
        ),
      }),
    )
    .default([]),
  edition: z
    .strictObject({
      milestone: z.string(),
      number: z.number().int(),
      lapPages: z.enum(['all', 'evidence', 'best']).describe('laps that have a page of their own'),
      evidenceOnly: z.boolean().describe('whether it leaves out sessions that its milestone does not stand on'),
    })
    .nullable()
    .describe('which edition these results were frozen for; null in a campaign that goes on'),
  riders: z.record(z.string(), z.strictObject({ name: z.string(), kind: z.enum(['robot', 'human']) })),
  targets: z.array(
    z.strictObject({ name: z.string(), due: z.string().nullable(), gapS: nullable, lapTimeS: nullable }),
  ),
  circuits: z.array(circuitView),
  sessions: z.array(z.string()).describe('ids, by date'),
  findings: findings.describe('what all sessions together let one say'),
  problems: z.array(problem).describe('of campaign.md, circuits and phase maps'),
});

export type SessionResult = z.infer<typeof sessionResult>;
export type RunResult = SessionResult['runs'][number];
export type LapResult = RunResult['laps'][number];
export type LedgerCell = LapResult['ledger'][number];
export type CornerTechnique = LapResult['technique'][number];
export type LapCurves = z.infer<typeof lapCurves>;
export type CampaignResult = z.infer<typeof campaignResult>;
export type Edition = NonNullable<CampaignResult['edition']>;
export type Milestone = CampaignResult['milestones'][number];
export type CircuitView = CampaignResult['circuits'][number];
export type MapCorner = CircuitView['corners'][number];
