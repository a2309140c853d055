import { join, resolve } from 'node:path';
import { lineOfRun, withGate } from '../campaign/lineOfRun.ts';
import { loadCampaign } from '../campaign/load.ts';
import { referenceOf } from '../campaign/reference.ts';
import { readCircuit } from '../circuit/circuit.ts';
import { type CircuitPoints, circuitFromPoints } from '../circuit/circuitFromPoints.ts';
import { phaseMapText } from '../circuit/phases.ts';
import type { Plane } from '../circuit/plane.ts';
import { type PlainLine, readPlainLine } from '../circuit/readPlainLine.ts';
import { circuitText } from '../circuit/writeCircuit.ts';
import type { Effects } from '../effects.ts';
import { readCampaignFile } from '../read/campaignFile.ts';
import { weekNamed, weekOf } from '../read/isoWeek.ts';
import { unnamedHeadings } from '../read/log.ts';
import { milestoneScaffold } from '../report/milestones/scaffold.ts';
import { weekScaffold } from '../report/weeks/scaffold.ts';
import { proposePhases } from '../technique/proposePhases.ts';
import { CACHE_OPTION, cachedResults } from './cachedResults.ts';
import { type Arguments, type Command, type ExitStatus, FOLDER_OPTIONS, UsageError } from './command.ts';
import { say } from './said.ts';

/** `gapbook new`: writes a first version of a file that a person then edits. Nothing that exists is written over. */
export const fresh: Command = {
  name: 'new',
  usage: `gapbook new session NAME         a session file for the logs in sessions/NAME (2026-01-08-track)
gapbook new week 2026-W11           the note of a week, with what the data say as claims to edit
gapbook new milestone NAME          a milestone: the next target, its evidence, rule and decisions, to edit
gapbook new circuit ID --from RUN   reference line and gate from the laps of a run
gapbook new circuit ID --centre FILE | --edges LEFT,RIGHT
                                    the same from points in metres: CSV with x, y (and widths right, left)
gapbook new phases CIRCUIT          a new version of the phase map, from the reference laps as they are now

Files that exist are left alone; \`new phases\` raises the version of the one it replaces.`,
  options: {
    ...FOLDER_OPTIONS,
    from: { kind: 'text', help: 'a log beside its session.md' },
    centre: { kind: 'text', help: 'CSV of the centre line' },
    edges: { kind: 'text', help: 'two CSV files, left and right edge in the direction of travel' },
    gate: {
      kind: 'text',
      help: 'where the gate stands: `x,y` in metres, `lat,lon` with --from; else where the line starts',
    },
    lap: { kind: 'text', help: 'with --from: use this lap alone' },
    ...CACHE_OPTION,
  },
  async run(args, effects) {
    const [kind, name, ...more] = args.words;
    if (more.length > 0 || kind === undefined || name === undefined)
      throw new UsageError(
        'say what and its name: `gapbook new session 2026-01-08-track`, `new week 2026-W11`, `new circuit ID`, `new phases CIRCUIT`',
      );
    if (!/^[A-Za-z0-9][A-Za-z0-9._-]*$/.test(name))
      throw new UsageError(`\`${name}\` will name a file: letters, digits, \`.\`, \`_\` and \`-\` only`);
    if (kind === 'session') return newSession(name, args, effects);
    if (kind === 'week') return newWeek(name, args, effects);
    if (kind === 'milestone') return newMilestone(name, args, effects);
    if (kind === 'circuit') return newCircuit(name, args, effects);
    if (kind === 'phases') return newPhases(name, args, effects);
    throw new UsageError(`\`${kind}\` is not among \`session\`, \`week\`, \`milestone\`, \`circuit\`, \`phases\``);
  },
};

async function written(path: string, text: string, effects: Effects, next: string): Promise<ExitStatus> {
  if (await effects.exists(path))
    throw new UsageError(`${path} exists and is left alone; give another name, or edit it`);
  await effects.write(path, text);
  effects.out(`${path}\n${next}`);
  return 0;
}

async function newSession(name: string, args: Arguments, effects: Effects): Promise<ExitStatus> {
  const date = /^\d{4}-\d\d-\d\d/.exec(name)?.[0];
  if (!date) throw new UsageError(`a session is named by its date and a word: \`2026-01-08-${name}\``);
  const folder = join(resolve(args.text('sessions') ?? ''), name);
  const logs = (await effects.list(folder)).filter(
    (entry) => !entry.folder && !/\.(md|geojson|ya?ml)$/i.test(entry.name),
  );
  const circuits = (await effects.list(join(resolve(args.text('content') ?? ''), 'circuits')))
    .filter((entry) => entry.name.endsWith('.geojson'))
    .map((entry) => entry.name.slice(0, -'.geojson'.length));
  const stage = ['simulation', 'bench', 'track'].find((word) => name.includes(word)) ?? 'track';
  const runs =
    logs.length > 0 ? logs.map(({ name: file }) => `  - file: ${JSON.stringify(file)}`) : ['  - file: run-01.csv'];
  const rider = await riderOf(name, args, effects);
  const [log] = logs;
  const unnamed = log ? await unnamedHeadings({ path: join(folder, log.name), file: log.name }, effects) : [];
  const columns = unnamed.map(
    ({ heading, unit }) => `#   CHANNEL: { from: ${JSON.stringify(heading)}, unit: ${JSON.stringify(unit ?? '…')} }`,
  );
  const text = `---
date: ${date}
stage: ${stage}                  # simulation | bench | track
circuit: ${circuits[0] ?? 'name-of-the-circuit'}
rider: ${rider.key.padEnd(23)}# a key of riders: in campaign.md
controller: ${(rider.human ? 'null' : '"0.1.0"').padEnd(18)}# in quotes, or null for a human
axes: level                   # level | body: whether accelerations and rates lean with the machine
position:
  antenna: [0.0, 0.0, 1.0]    # metres forward, left, up of the ground point below the mass centre
  latency: "0 ms"
runs:
${runs.join('\n')}
${columns.length > 0 ? `# Headings of ${log?.name} that name no channel: give those you need their channel (README, Channels) and UCUM unit.\n# columns:\n${columns.join('\n')}\n` : ''}conditions: { surface: dry }
---
What happened that day.
`;
  return written(
    join(folder, 'session.md'),
    text,
    effects,
    logs.length > 0
      ? 'Edit it, then `gapbook check`.'
      : 'Put the logs beside it, name them under `runs:`, then `gapbook check`.',
  );
}

/** Who rides: the human where the session is the campaign's reference, else the robot. */
async function riderOf(name: string, args: Arguments, effects: Effects): Promise<{ key: string; human: boolean }> {
  const path = join(resolve(args.text('content') ?? ''), 'campaign.md');
  const { campaign } = (await effects.exists(path))
    ? readCampaignFile(await effects.text(path), 'campaign.md')
    : { campaign: null };
  const human = campaign?.reference('')?.session === name;
  const found = Object.entries(campaign?.riders ?? {}).find(([, { kind }]) => (kind === 'human') === human);
  return { key: found?.[0] ?? 'robot', human: found ? human : false };
}

async function newWeek(name: string, args: Arguments, effects: Effects): Promise<ExitStatus> {
  if (!weekNamed(name))
    throw new UsageError(
      `\`${name}\` is not a week of ISO 8601; write \`2026-W11\`${/^\d{4}-\d\d-\d\d$/.test(name) ? `: that day is in ${weekOf(name).name}` : ''}`,
    );
  const path = join(resolve(args.text('content') ?? ''), 'weeks', `${name}.md`);
  if (await effects.exists(path)) throw new UsageError(`${path} exists and is left alone; edit it`);
  const text = weekScaffold(await cachedResults(args, effects), name);
  return written(path, text, effects, 'Edit it, then `gapbook check`; after a change of a claim `gapbook confirm`.');
}

async function newMilestone(name: string, args: Arguments, effects: Effects): Promise<ExitStatus> {
  const path = join(resolve(args.text('content') ?? ''), 'milestones', `${name}.md`);
  if (await effects.exists(path)) throw new UsageError(`${path} exists and is left alone; edit it`);
  const text = milestoneScaffold(await cachedResults(args, effects), name);
  return written(path, text, effects, 'Edit it, then `gapbook check`.');
}

async function newCircuit(name: string, args: Arguments, effects: Effects): Promise<ExitStatus> {
  const path = join(resolve(args.text('content') ?? ''), 'circuits', `${name}.geojson`);
  if (await effects.exists(path))
    throw new UsageError(`${path} exists and is left alone; give another name, or edit it`);
  const given = [args.text('from'), args.text('centre'), args.text('edges')].filter((x) => x !== null);
  if (given.length !== 1)
    throw new UsageError('say where the line comes from: one of --from RUN, --centre FILE, --edges LEFT,RIGHT');
  const gate = pointOf(args.text('gate'));
  const points =
    args.text('from') === null
      ? await pointsOfFiles(name, gate, args, effects)
      : await pointsOfRun(name, gate, args, effects);
  if (points === null) return 1;
  let text: string;
  try {
    text = circuitText(circuitFromPoints(points));
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new UsageError(`no circuit can be made of this: ${error.message}`);
  }
  const { circuit, problems } = readCircuit(text, `${name}.geojson`, name);
  const status = say(problems, effects);
  if (!circuit) return 1;
  await written(
    path,
    text,
    effects,
    `${circuit.lengthM.toFixed(1)} m round. Look at it on a map, move the gate to the timing line if it stands elsewhere, then \`gapbook check\`.`,
  );
  return status;
}

function pointOf(text: string | null): [number, number] | null {
  if (text === null) return null;
  const numbers = text.split(',').map(Number);
  if (numbers.length !== 2 || numbers.some(Number.isNaN))
    throw new UsageError(`--gate takes two numbers, \`--gate=12.5,-3\`, not \`${text}\``);
  return [numbers[0]!, numbers[1]!];
}

async function pointsOfFiles(
  name: string,
  gate: [number, number] | null,
  args: Arguments,
  effects: Effects,
): Promise<CircuitPoints | null> {
  let plane: Plane | null = null;
  const read = async (file: string): Promise<PlainLine | null> => {
    if (!(await effects.exists(file))) throw new UsageError(`no file \`${file}\``);
    const { line, problems } = readPlainLine(await effects.text(file), file, plane);
    say(problems, effects);
    plane ??= line?.plane ?? null;
    return line;
  };
  const centre = args.text('centre');
  const files = centre === null ? (args.text('edges') ?? '').split(',') : [centre];
  if (centre === null && (files.length !== 2 || files.includes('')))
    throw new UsageError('--edges takes two files with a comma between: `--edges left.csv,right.csv`');
  const lines: Float64Array[][] = [];
  let widths: PlainLine['widths'] = null;
  for (const file of files) {
    const line = await read(file);
    if (line === null) return null;
    lines.push([line.eastM, line.northM]);
    widths = line.widths;
  }
  const [first, second] = lines;
  const points: CircuitPoints =
    centre === null ? { name, plane, edges: { left: first!, right: second! } } : { name, plane, line: first!, widths };
  return gate ? withGate(points, place(gate, plane)) : points;
}

async function pointsOfRun(
  name: string,
  gate: [number, number] | null,
  args: Arguments,
  effects: Effects,
): Promise<CircuitPoints | null> {
  const path = args.text('from') ?? '';
  const { line, problems } = await lineOfRun(path, { gate, lap: args.text('lap') }, effects);
  const status = say(problems, effects, line ? 'warn' : 'note');
  if (line === null) {
    if (status === 0) effects.err(`${path} has no whole lap to draw a line from`);
    return null;
  }
  effects.out(`${line.laps} lap(s), ${line.residualRmsM.toFixed(2)} m from the line (root mean square)`);
  return withGate({ name, plane: line.plane, line: [line.eastM, line.northM] }, line.gate);
}

const place = ([x, y]: [number, number], plane: Plane | null): { eastM: number; northM: number } =>
  plane ? plane.toPlane(x, y) : { eastM: x, northM: y };

async function newPhases(id: string, args: Arguments, effects: Effects): Promise<ExitStatus> {
  const folders = { content: resolve(args.text('content') ?? ''), sessions: resolve(args.text('sessions') ?? '') };
  const loaded = await loadCampaign(folders, effects);
  const circuit = loaded.circuits.get(id);
  if (!circuit)
    throw new UsageError(
      `no circuit \`${id}\`; there are ${[...loaded.circuits.keys()].map((c) => `\`${c}\``).join(', ') || 'none'}`,
    );
  const before = loaded.phaseMaps.get(id);
  loaded.phaseMaps.delete(id);
  const { reference, problems } = await referenceOf(loaded, id, effects);
  const map =
    reference &&
    proposePhases(
      circuit,
      reference.laps.map(({ lap }) => lap),
      `${reference.session}, ${reference.laps.length} lap(s)`,
      (before?.version ?? 0) + 1,
    );
  if (!map) {
    say([...loaded.problems, ...problems], effects);
    return 1;
  }
  const path = join(folders.content, 'circuits', `${id}.phases.yaml`);
  await effects.write(path, phaseMapText(map));
  effects.out(
    `${path}\nversion ${map.version}, ${map.corners.length} corner(s). Review it; ledgers name the version they were made with.`,
  );
  return 0;
}
