import { z } from 'zod';
import { nearestWord } from '../nearestWord.ts';
import type { Problem } from '../problem.ts';
import { lapTime, quantity } from '../units.ts';
import { ColumnMap, type ColumnRule } from './columns.ts';
import { frontMatter, type Yaml } from './frontMatter.ts';
import { CHANNELS, type ChannelName, channelKind } from './recording.ts';

export type Stage = 'simulation' | 'bench' | 'track';

export interface Incident {
  /** On the clock of the log, s. */
  readonly timeS: number;
  readonly kind: string;
  readonly severity: number | null;
  readonly closed: boolean;
}

/** Where the position in the log belongs on the machine. */
export interface PositionSetup {
  /** Metres forward, left, up of the ground point below the mass centre; null where nobody said. */
  readonly antennaM: readonly [number, number, number] | null;
  /** The position of a row is this much older than its stamp, s. */
  readonly latencyS: number;
  /** Metres east, north to add. */
  readonly shiftM: readonly [number, number];
  /** One standard deviation, m, where the session file says it. */
  readonly sigmaM: number | null;
}

/** One run with everything that holds for it, its session's keys included. */
/** A machine with who rides it. */
export interface MachineSetup {
  readonly massKg: number;
  /** At the wheel. */
  readonly powerW: number;
  readonly dragAreaM2: number | null;
}

export interface RunSetup {
  readonly files: readonly string[];
  readonly line: number;
  readonly kind: 'laps' | 'coastdown' | 'brake' | 'low-speed';
  readonly stage: Stage;
  readonly circuit: string;
  readonly rider: string;
  readonly controller: string | null;
  readonly configuration: Readonly<Record<string, string>>;
  readonly machine: MachineSetup | null;
  readonly axes: 'body' | 'level' | null;
  readonly position: PositionSetup;
  readonly emulated: readonly string[];
  readonly speedLimitMps: number | null;
  readonly incidents: readonly Incident[];
  /** Lap number -> seconds, as the circuit timed it. */
  readonly official: ReadonlyMap<number, number>;
  readonly columns: ColumnMap;
  readonly decimal: '.' | ',' | undefined;
  /** Circuit file in the log's own coordinates. */
  readonly frameCircuit: string | null;
}

/** A lap that a person put in or out, with the reason. */
export interface LapChoice {
  readonly run: string;
  readonly lap: number;
  readonly counted: boolean;
  readonly reason: string;
  readonly line: number;
}

export interface SessionSetup {
  readonly id: string;
  readonly date: string;
  readonly stage: Stage;
  readonly circuit: string;
  readonly rider: string;
  readonly controller: string | null;
  readonly conditions: Readonly<Record<string, string>>;
  readonly runs: readonly RunSetup[];
  readonly choices: readonly LapChoice[];
  /** Problem code -> reason. */
  readonly accept: Readonly<Record<string, string>>;
  readonly notes: string;
  /** Line of the file on which the notes begin. */
  readonly notesLine: number;
}

const measured = (unit: string, what: string) =>
  z.string({ error: `${what} with its unit in quotes, as \`"40 ${unit}"\`` }).transform((text, ctx) => {
    const value = quantity(text, unit);
    if (value !== null) return value;
    ctx.addIssue({ code: 'custom', message: `${what} with a UCUM unit that converts to \`${unit}\`` });
    return z.NEVER;
  });

const timed = z.union([z.string(), z.number()]).transform((given, ctx) => {
  const seconds = typeof given === 'number' ? given : lapTime(given);
  if (seconds !== null && seconds > 0) return seconds;
  ctx.addIssue({ code: 'custom', message: 'a lap time such as `"1:32.412"` or `92.412`' });
  return z.NEVER;
});

const text = z.union([z.string(), z.number(), z.boolean()]).transform(String);
const version = z.union([z.string(), z.number()]).nullable();
const point = (what: string) =>
  z.tuple([z.number(), z.number(), z.number()], { error: `three numbers in metres: ${what}` });

const column = z.strictObject({
  from: z.string(),
  unit: z.string().optional(),
  negate: z.boolean().optional(),
  fromEast: z.boolean().optional(),
});

/** Keys that may stand on a session and on each of its runs. */
const common = {
  kind: z.enum(['laps', 'coastdown', 'brake', 'low-speed']).optional(),
  stage: z.enum(['simulation', 'bench', 'track'], { error: '`simulation`, `bench` or `track`' }).optional(),
  circuit: z.string().optional(),
  rider: z.string().optional(),
  controller: version.optional(),
  configuration: z.record(z.string(), version).optional(),
  machine: z
    .strictObject({
      mass: measured('kg', 'a mass'),
      power: measured('W', 'a power'),
      drag_area: measured('m2', 'an area').optional(),
    })
    .optional(),
  axes: z.enum(['body', 'level'], { error: '`body` or `level`' }).optional(),
  position: z
    .strictObject({
      antenna: point('forward, left, up of the ground point below the mass centre').optional(),
      latency: measured('s', 'a time').optional(),
      shift: z.tuple([z.number(), z.number()], { error: 'two numbers in metres: east, north' }).optional(),
      sigma: measured('m', 'a length').optional(),
    })
    .optional(),
  emulated: z.array(z.string()).optional(),
  limits: z.strictObject({ speed: measured('m/s', 'a speed').optional() }).optional(),
  incidents: z
    .array(
      z.strictObject({
        time: z.number({ error: 'seconds on the clock of the log' }),
        kind: z.string(),
        severity: z.number().optional(),
        closed: z.boolean().optional(),
      }),
    )
    .optional(),
  official: z.record(z.string(), timed).optional(),
  columns: z.record(z.string(), column).optional(),
  decimal: z.enum(['.', ','], { error: '`"."` or `","`' }).optional(),
  frame: z.strictObject({ circuit: z.string() }).optional(),
};

const runShape = { file: z.string().optional(), files: z.array(z.string()).optional(), ...common };
const choiceShape = {
  run: z.string(),
  lap: z.number().int(),
  exclude: z.string().optional(),
  include: z.string().optional(),
};
const sessionShape = {
  date: z
    .string({ error: 'a date, `2026-01-08`' })
    .regex(/^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/, { error: 'a date, `2026-01-08`' }),
  ...common,
  runs: z
    .array(z.strictObject(runShape), { error: 'a list: `- file: run-01.csv`' })
    .min(1, { error: 'at least one run: `- file: run-01.csv`' }),
  conditions: z.record(z.string(), text).optional(),
  laps: z.array(z.strictObject(choiceShape)).optional(),
  accept: z.record(z.string(), z.string({ error: 'the reason, as text' })).optional(),
};
const schema = z.strictObject(sessionShape);
type Given = z.output<typeof schema>;
type GivenRun = Given['runs'][number];

const NESTED: Record<string, readonly string[]> = {
  machine: ['mass', 'power', 'drag_area'],
  position: ['antenna', 'latency', 'shift', 'sigma'],
  limits: ['speed'],
  incidents: ['time', 'kind', 'severity', 'closed'],
  columns: ['from', 'unit', 'negate', 'fromEast'],
  frame: ['circuit'],
  laps: Object.keys(choiceShape),
  runs: Object.keys(runShape),
};

/** Keys known at a place of the front matter, for hints. */
function keysAt(path: readonly PropertyKey[]): readonly string[] {
  const named = path.filter((key) => typeof key === 'string').map(String);
  const last = named.at(-1);
  if (last === undefined) return Object.keys(sessionShape);
  return NESTED[last] ?? NESTED[named.at(-2) ?? ''] ?? Object.keys(sessionShape);
}

/**
 * Reads a session file: what was run, on which circuit, by whom, with which files.
 *
 * @param text the Markdown file
 * @param id name of the session's folder
 * @param file as the user knows it
 * @returns the session, or null where the file cannot be used, and every problem found
 */
export function readSessionFile(
  text: string,
  id: string,
  file: string,
): { session: SessionSetup | null; problems: Problem[] } {
  const parts = frontMatter(text, file);
  if (!parts)
    return {
      session: null,
      problems: [
        {
          code: 'FRONT_MATTER',
          severity: 'stop',
          place: { file, line: 1 },
          found: 'no front matter',
          expected: 'a first line `---`, keys such as `date:` and `runs:`, and a line `---` below them',
          remedy: 'write one by hand, or let `gapbook new session` make it',
        },
      ],
    };
  const { yaml, body, bodyLine } = parts;
  const { value, problems } = yaml.checked(schema, keysAt);
  if (value === null) return { session: null, problems };

  const missing = (key: string, expected: string): void =>
    void problems.push({
      code: 'VALUE_INVALID',
      severity: 'stop',
      place: { file, line: 2, key },
      found: 'nothing',
      expected,
      remedy: `add \`${key}:\` to the front matter`,
    });
  if (value.stage === undefined) missing('stage', '`simulation`, `bench` or `track`');
  if (value.circuit === undefined) missing('circuit', 'the name of a file in content/circuits, without its ending');
  if (value.rider === undefined) missing('rider', 'a key of `riders:` in campaign.md');
  const { stage, circuit, rider } = value;
  if (stage === undefined || circuit === undefined || rider === undefined) return { session: null, problems };

  const versionText = (given: string | number | null | undefined, path: readonly PropertyKey[]): string | null => {
    if (given === null || given === undefined) return null;
    if (typeof given === 'string') return given;
    const source = yaml.source(path) ?? String(given);
    problems.push({
      code: 'VERSION_NUMBER',
      severity: 'warn',
      place: { file, line: yaml.line(path), key: path.join('.') },
      found: `the number \`${source}\``,
      expected: 'text, because YAML reads 0.10 as 0.1',
      remedy: `put it in quotes: \`"${source}"\`; \`${source}\` is used`,
    });
    return source;
  };
  const controller = versionText(value.controller, ['controller']);

  const runs = value.runs.flatMap((run, i): RunSetup[] => {
    const files = run.files ?? (run.file === undefined ? [] : [run.file]);
    const at = yaml.line(['runs', i]);
    const outside = files.find((name) => /^([a-zA-Z]:|[\\/])/.test(name) || name.split(/[\\/]/).includes('..'));
    if (files.length === 0 || outside !== undefined) {
      problems.push({
        code: outside === undefined ? 'VALUE_INVALID' : 'FILE_OUTSIDE',
        severity: 'stop',
        place: { file, line: at, key: `runs.${i}.file` },
        found: outside === undefined ? 'a run without a file' : `\`${outside}\``,
        expected: 'the name of a log beside this file',
        remedy:
          outside === undefined
            ? 'add `file: run-01.csv`'
            : 'move the log into the session’s folder and name it without `..`',
      });
      return [];
    }
    const over = <K extends keyof typeof common>(key: K): GivenRun[K] => (run[key] ?? value[key]) as GivenRun[K];
    const position = { ...value.position, ...run.position };
    const configuration: Record<string, string> = {};
    for (const [owner, path] of [
      [value, ['configuration']],
      [run, ['runs', i, 'configuration']],
    ] as const)
      for (const [key, given] of Object.entries(owner.configuration ?? {})) {
        const written = versionText(given, [...path, key]);
        if (written !== null) configuration[key] = written;
      }
    const runController =
      run.controller === undefined ? controller : versionText(run.controller, ['runs', i, 'controller']);
    const machine = over('machine');
    const emulated = over('emulated') ?? [];
    for (const name of emulated)
      if (channelKind(name) === null)
        problems.push({
          code: 'VALUE_INVALID',
          severity: 'warn',
          place: { file, line: yaml.line(['runs', i, 'emulated']), key: 'emulated' },
          found: `\`${name}\``,
          expected: 'the name of a channel',
          remedy: 'correct the name',
        });
    return [
      {
        files,
        line: at,
        kind: over('kind') ?? 'laps',
        stage: over('stage') ?? stage,
        circuit: over('circuit') ?? circuit,
        rider: over('rider') ?? rider,
        controller: runController ?? configuration['controller'] ?? null,
        configuration: runController === null ? configuration : { controller: runController, ...configuration },
        machine: machine
          ? { massKg: machine.mass, powerW: machine.power, dragAreaM2: machine.drag_area ?? null }
          : null,
        axes: over('axes') ?? null,
        position: {
          antennaM: position.antenna ?? null,
          latencyS: position.latency ?? 0,
          shiftM: position.shift ?? [0, 0],
          sigmaM: position.sigma ?? null,
        },
        emulated,
        speedLimitMps: over('limits')?.speed ?? null,
        incidents: (over('incidents') ?? []).map((x) => ({
          timeS: x.time,
          kind: x.kind,
          severity: x.severity ?? null,
          closed: x.closed ?? false,
        })),
        official: new Map(Object.entries(over('official') ?? {}).map(([lap, seconds]) => [Number(lap), seconds])),
        columns: columnMap(
          [
            [value.columns ?? {}, ['columns']],
            [run.columns ?? {}, ['runs', i, 'columns']],
          ],
          file,
          yaml,
          problems,
        ),
        decimal: over('decimal'),
        frameCircuit: over('frame')?.circuit ?? null,
      },
    ];
  });

  const choices = (value.laps ?? []).map((choice, i): LapChoice => {
    if ((choice.exclude === undefined) === (choice.include === undefined))
      problems.push({
        code: 'VALUE_INVALID',
        severity: 'stop',
        place: { file, line: yaml.line(['laps', i]), key: `laps.${i}` },
        found: choice.exclude === undefined ? 'neither `exclude` nor `include`' : 'both `exclude` and `include`',
        expected: 'one of them, with the reason',
        remedy: 'keep one: `exclude: "marshal on the inside of corner 6"`',
      });
    return {
      run: choice.run,
      lap: choice.lap,
      counted: choice.exclude === undefined,
      reason: choice.exclude ?? choice.include ?? '',
      line: yaml.line(['laps', i]),
    };
  });
  return {
    session: {
      id,
      date: value.date,
      stage,
      circuit,
      rider,
      controller,
      conditions: value.conditions ?? {},
      runs,
      choices,
      accept: value.accept ?? {},
      notes: body,
      notesLine: bodyLine,
    },
    problems: distinct(problems),
  };
}

/** What stands on the session is met again at each of its runs, and said once. */
function distinct(problems: readonly Problem[]): Problem[] {
  const said = new Set<string>();
  return problems.filter(({ code, place }) => {
    const key = JSON.stringify([code, place.line, place.key]);
    return !said.has(key) && said.add(key);
  });
}

/** Rules of the session, overridden by those of its run. */
function columnMap(
  given: readonly (readonly [Record<string, z.output<typeof column>>, readonly PropertyKey[]])[],
  file: string,
  yaml: Yaml,
  problems: Problem[],
): ColumnMap {
  const rules = new Map<ChannelName, ColumnRule>();
  for (const [name, rule, path] of given.flatMap(([rules, path]) =>
    Object.entries(rules).map(([name, rule]) => [name, rule, [...path, name]] as const),
  )) {
    const line = yaml.line(path);
    const near = nearestWord(name, Object.keys(CHANNELS));
    if (channelKind(name) === null)
      problems.push({
        code: 'KEY_UNKNOWN',
        severity: 'stop',
        place: { file, line, key: path.join('.') },
        found: `\`${name}\``,
        expected: 'the name of a channel, as in the README',
        remedy: `${near ? `perhaps \`${near}\`; ` : ''}the channel stands on the left, the log’s heading behind \`from:\``,
      });
    else rules.set(name as ChannelName, { ...rule, file, line });
  }
  return new ColumnMap(rules);
}
