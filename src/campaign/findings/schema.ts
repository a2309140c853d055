import { z } from 'zod';
import { groupKey } from '../../causes/schema.ts';

const nullable = z.number().nullable();

const interval = z.strictObject({
  lowS: z.number(),
  highS: z.number(),
  level: z.number().describe('share of repetitions that hold the true value: what the number of laps allows'),
});

const verdict = z.enum(['real', 'within these sessions only', 'cannot tell', 'too few']);

const side = z.strictObject({
  laps: z.number().int(),
  runs: z.number().int(),
  days: z.number().int(),
  medianS: nullable.describe('median gap of the laps'),
});

/** Did it change? */
export const comparison = z.strictObject({
  verdict,
  scope: z.enum(['between days', 'taking turns', 'within these sessions only']),
  before: side,
  after: side,
  changeS: nullable.describe('after minus before; below zero: less is lost'),
  interval: interval.nullable(),
  p: nullable,
  q: nullable.describe('p after Benjamini and Hochberg over its family; p itself where it stands alone'),
  detectableS: nullable.describe('smallest change that would be seen in four of five repetitions'),
});

/** Is there a loss? */
export const lossFound = z.strictObject({
  verdict,
  laps: z.number().int(),
  days: z.number().int(),
  lossS: nullable,
  interval: interval.nullable(),
  p: nullable,
  q: nullable,
  detectableS: nullable,
});

const corner = { corner: z.string() };
const phase = { phase: z.enum(['braking', 'apex', 'drive']) };
const group = { group: groupKey };

const confounder = z.strictObject({
  what: z.string(),
  change: z.enum(['changed', 'not noted']),
  before: z.union([z.string(), z.number()]).nullable(),
  after: z.union([z.string(), z.number()]).nullable(),
});

const against = z.strictObject({
  kind: z.enum(['session before', 'best known', 'version before', 'configuration before']),
  of: z.array(z.string()).describe('what is compared: sessions; of configurations, runs of this session'),
  with: z.array(z.string()).describe('what it is compared with'),
  words: z
    .string()
    .describe('what the two sides are told apart by, such as `0.15.2 against 0.13.0`; empty for sessions'),
  confounders: z.array(confounder).describe('other reasons for a difference that the records do not rule out'),
  lap: comparison,
  corners: z.array(comparison.extend(corner)),
  phases: z.array(comparison.extend(phase)),
  causes: z.array(comparison.extend(group)).describe('groups of causes over the lap; none where laps were not split'),
});

const bandPlace = z.strictObject({
  n: z.number().int().describe('laps of the reference rider'),
  faster: nullable.describe('share of them that are faster'),
  low: nullable.describe('90 % interval of the share of all the laps of that rider that would be faster'),
  high: nullable,
  outsideByChance: z.number().describe('chance that a further lap of the reference rider lies outside their range'),
  verdict: z.enum(['inside', 'slower than all', 'faster than all', 'too few']),
});

const sessionFindings = z.strictObject({
  session: z.string(),
  progress: z
    .boolean()
    .describe('speaks for the robot on the track: counted laps there, on the surface of the reference'),
  why: z.string().describe('why it does not; empty where it does'),
  learning: z.strictObject({
    n: z.number().int(),
    slopeS: nullable.describe('from lap to lap, median of all pairs'),
    p: nullable,
    verdict: z.enum(['falls', 'rises', 'cannot tell', 'too few']),
  }),
  lap: lossFound,
  corners: z.array(lossFound.extend(corner)),
  phases: z.array(lossFound.extend(phase)),
  causes: z.array(lossFound.extend(group)).describe('groups of causes over the lap; none where laps were not split'),
  against: z.array(against),
  band: z.strictObject({ lap: bandPlace, corners: z.array(bandPlace.extend(corner)) }).nullable(),
});

const versionStep = z.strictObject({
  corner: z.string().nullable().describe('null: the whole lap'),
  phase: z.enum(['braking', 'apex', 'drive']).nullable(),
  group: groupKey.nullable().describe('what moved is a group of causes; null: all of them together'),
  session: z.string().describe('first session after the step'),
  previous: z.string(),
  from: z.string().nullable(),
  to: z.string().nullable(),
  known: z.boolean().describe('false: no new version came in there'),
  sizeS: z.number(),
  lowS: z.number(),
  highS: z.number(),
  level: z.number(),
  p: z.number(),
  q: z.number(),
  confounders: z.array(confounder),
});

const ranked = z.strictObject({
  corner: z.string(),
  lastS: nullable,
  remainingS: z.number().describe('where it stands now, from all sessions, shrunk'),
  sdS: z.number(),
  real: z.number().describe('probability that there is a loss'),
  amongWorst: z.number().describe('probability of being among the largest'),
  expectedS: z.number().describe('what closing it would bring: remaining loss times transfer, where known'),
  transferKnown: z.boolean(),
});

const rankRecord = z.strictObject({ sessions: z.number().int(), regretS: nullable, lastLossRegretS: nullable });

const foretold = z.strictObject({
  date: z.string(),
  medianS: z.number(),
  lowS: z.number(),
  highS: z.number(),
  level: z.number(),
});

const forecast = z.strictObject({
  sessions: z.number().int(),
  effectiveWeeks: z.number().int(),
  /** Null under five weeks. */
  made: z
    .strictObject({
      fan: z.array(foretold),
      targets: z.array(
        z.strictObject({
          name: z.string(),
          due: z.string(),
          gapS: z.number(),
          probability: z.number().describe('that a session on that day has a median gap of at most that'),
          medianS: z.number(),
          lowS: z.number(),
          highS: z.number(),
        }),
      ),
      weights: z.record(z.string(), z.number()),
      jumps: z
        .array(z.strictObject({ session: z.string(), sizeS: z.number() }))
        .describe('steps that it takes as jumps'),
      record: z.strictObject({
        forecasts: z.number().int(),
        held: nullable,
        scoreS: nullable,
        persistenceScoreS: nullable,
      }),
    })
    .nullable(),
});

const circuitFindings = z.strictObject({
  circuit: z.string(),
  progress: z.array(z.string()).describe('sessions that speak for the robot on the track, by date'),
  spread: z.strictObject({
    lapS: nullable.describe('between laps of one run'),
    runS: nullable.describe('between runs of a day, beyond that'),
    dayS: nullable.describe('between days of one version, beyond that'),
    lapsPerRun: nullable.describe('median'),
  }),
  trend: z
    .strictObject({
      sessions: z.number().int(),
      perWeekS: nullable.describe('median slope of all pairs of sessions'),
      interval: interval.nullable().describe('of that slope, s a week'),
      p: nullable,
      verdict: z.enum(['falls', 'rises', 'cannot tell', 'too few']),
    })
    .describe('of the median gap over the sessions on the track; the unit is the session'),
  steps: z.array(versionStep),
  stepSessions: z.number().int().describe('sessions that steps were looked for in; none are found in fewer than six'),
  next: z.array(ranked.extend(phase)),
  nextByCause: z
    .array(ranked.extend(group))
    .describe('the same losses by group of causes; none where laps were not split'),
  worst: z.number().int().describe('how many largest losses `amongWorst` asks about'),
  rankRecord: rankRecord.describe('of `next`'),
  rankRecordByCause: rankRecord,
  transfer: z
    .strictObject({
      changes: z.number().int(),
      arrived: z.number().int(),
      medianShare: z.number(),
      share: z.number(),
      sd: z.number(),
    })
    .nullable()
    .describe('from simulation to track, over corners and pairs of sessions'),
  forecast,
});

/** The fastest lap that those of a session could be put together to; where two meet, speed and place agree. */
export const compositeFound = z.strictObject({
  timeS: z.number(),
  bestS: z.number().describe('best whole lap among them'),
  best: z.strictObject({ run: z.string(), lap: z.number().int() }),
  sumOfBestsS: z.number().describe('sum of the best sections, rideable or not'),
  laps: z.number().int(),
  parts: z.array(z.strictObject({ fromM: z.number(), toM: z.number(), run: z.string(), lap: z.number().int() })),
});

/** What the numbers of the campaign let one say: computed from all sessions together. */
export const findings = z.strictObject({
  sessions: z.array(sessionFindings).describe('those of the robot that have a lap to compare'),
  circuits: z.array(circuitFindings),
});

export type Findings = z.infer<typeof findings>;
export type SessionFindings = z.infer<typeof sessionFindings>;
export type Against = z.infer<typeof against>;
export type ComparisonFound = z.infer<typeof comparison>;
export type LossFound = z.infer<typeof lossFound>;
export type TrendFound = CircuitFindings['trend'];
export type CircuitFindings = z.infer<typeof circuitFindings>;
export type BandPlace = z.infer<typeof bandPlace>;
export type ConfounderFound = z.infer<typeof confounder>;
export type VersionStepFound = z.infer<typeof versionStep>;
