import { z } from 'zod';
import { GROUPS } from './cause.ts';
import { CAUSES } from './list.ts';

/** Left out where there is nothing to say, so that results stay small. */
const maybe = z.number().nullable().optional();
/** Ends of a 90 % interval; none where nothing was drawn. */
const interval = { gapS: z.number(), lowS: maybe, highS: maybe };
export const groupKey = z.enum(GROUPS);
export const causeKey = z.enum(CAUSES.map(({ key }) => key));

/** Why a part is not told from its neighbours. `members` of a group are then not shown, only the group. */
export const refusal = z.enum([
  'not separable',
  'ill-conditioned',
  'pick-up without throttle',
  'drive frontier not shown',
  'gear change at the edge',
  'too few cells',
]);

/** A finding in numbers by name, unit in the name; the report makes the sentence. */
export const fact = z.record(z.string(), z.number());

const group = z.strictObject({
  group: groupKey,
  ...interval,
  madeS: z
    .number()
    .describe('with what its speed at the end costs or brings in later corners; carry is charged to who made it'),
  madeLowS: maybe,
  madeHighS: maybe,
});

const cause = z.strictObject({
  cause: causeKey,
  ...interval,
  madeS: z.number(),
  madeLowS: maybe,
  madeHighS: maybe,
  byAnotherRuleS: maybe.describe('Aumann–Shapley value of the same cause'),
  refused: refusal.nullable().optional().describe('why this member is not told from the others of its group'),
  fact: fact.nullable().optional(),
});

const window = z.strictObject({
  corner: z.string(),
  part: z.enum(['to gate', 'from gate']).nullable(),
  fromM: z.number(),
  toM: z.number(),
  gapS: z.number(),
  lengthS: z.number().describe('exact: what the longer way costs'),
  speedS: z.number().describe('exact: what the lower speed costs'),
  mode: z
    .enum(['braked', 'cornered', 'rolled', 'driven'])
    .describe('how it was described: both brake, one brakes, a lift, drive alone'),
  flags: z.array(
    z.enum([
      'no braking',
      'one brakes',
      'brake and throttle overlap',
      'two apexes',
      'gate in the corner',
      'no pick-up',
      'brakes before the window',
      'not described',
    ]),
  ),
  groups: z.array(group).describe('those in which the laps differ'),
  causes: z.array(cause).describe('those in which the laps differ'),
  cancellation: z.number().nullable().describe('sum of sizes over size of sum; null for a gap of 0'),
  illConditioned: z.boolean().describe('cancellation above 5: only the groups are shown'),
  together: z
    .array(z.strictObject({ groups: z.tuple([groupKey, groupKey]), byS: z.number() }))
    .describe('pairs of groups that act together by more than 30 % of what they share'),
  mixtureS: z
    .array(z.number())
    .length(16)
    .describe('time of the window with groups taken from the reference; bits: line 1, entry 2, apex 4, exit 8'),
  mixtureLaterS: z
    .array(z.number())
    .length(16)
    .describe('what its speed at the end then changes in the corners after it'),
  otherRuleApartS: maybe.describe('largest difference between the two rules over the groups'),
});

/** What cannot be told for want of a channel, for the whole lap. */
export const untold = z.enum([
  'no throttle: pick-up and drive are one',
  'no gear: gear changes are part of drive',
  'no brake: braking is read from the speed',
  'no roll: lean is taken from path and speed',
  'no speed: it is taken from the positions',
  'no machine data: power and drag count as equal',
  'position too poor for the line',
]);

/** What both riders showed they can do: a frontier of demonstrated use, with its doubt and the points behind it. */
export const fittedEnvelope = z.strictObject({
  envelope: z.strictObject({
    tractionMps2: z.number().describe('drive upright, at low speed'),
    powerWpkg: z.number(),
    brakingMps2: z.number(),
    lateralMps2: z.number(),
    exponent: z.number().describe('p of (|a_x| / limit)^p + (|a_y| / limit)^p = 1'),
    floorShare: z.number(),
    dragPerM: z.number(),
    rollingMps2: z.number(),
  }),
  sigma: z
    .strictObject({
      tractionMps2: z.number(),
      powerWpkg: z.number(),
      brakingMps2: z.number(),
      lateralMps2: z.number(),
      exponent: z.number(),
    })
    .describe('one standard deviation'),
  laps: z.number().int(),
  lean: z.array(
    z.strictObject({ fromShare: z.number(), toShare: z.number(), points: z.number(), onFrontier: z.number() }),
  ),
  speed: z.array(
    z.strictObject({
      fromMps: z.number(),
      toMps: z.number(),
      points: z.number(),
      driveMps2: z.number(),
      brakingMps2: z.number(),
      lateralMps2: z.number(),
    }),
  ),
});

export const lapCausesResult = z.strictObject({
  gapS: z.number().describe('sum of the windows: the whole lap, or what both laps covered'),
  windows: z.array(window),
  groups: z
    .array(z.strictObject({ group: groupKey, ...interval }))
    .describe('over the lap, carry charged to who made it'),
  causes: z.array(z.strictObject({ cause: causeKey, group: groupKey, ...interval })),
  untold: z.array(untold),
  draws: z.number().int().describe('how often it was repeated with what is not known drawn anew; 0: no intervals'),
});

export type LapCauses = z.infer<typeof lapCausesResult>;
export type CauseWindow = LapCauses['windows'][number];
export type Untold = z.infer<typeof untold>;
export type Refusal = z.infer<typeof refusal>;
