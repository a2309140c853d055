import { basename, dirname, resolve } from 'node:path';
import { analyseSession } from '../campaign/analyse.ts';
import type { JudgedLap } from '../campaign/judge.ts';
import { type LoadedCampaign, loadCampaign } from '../campaign/load.ts';
import { type Reference, referenceOf } from '../campaign/reference.ts';
import type { LapResult, LedgerCell, SessionResult } from '../campaign/results.ts';
import type { Problem } from '../problem.ts';
import { ledgerText } from '../report/terminal.ts';
import { type Command, FOLDER_OPTIONS, JSON_OPTION, UsageError } from './command.ts';
import { say } from './said.ts';

/** `gapbook gap`: the ledger of one run in the terminal, for the paddock. */
export const gap: Command = {
  name: 'gap',
  usage: `gapbook gap RUN [--lap N] [--against RUN]

Where one lap of RUN loses time, by corner and phase; the cells sum to the gap of the lap times.
RUN is the path of a log beside its session.md. The best valid lap is taken unless --lap says another.
The reference is the one of campaign.md, or the best valid lap of another RUN with --against.

  gapbook gap sample-sessions/2026-02-19-track/run-01.csv --lap 3`,
  options: {
    ...FOLDER_OPTIONS,
    lap: { kind: 'text', help: 'number of the lap; 1 is the first from gate to gate' },
    against: { kind: 'text', help: 'another run to compare with' },
    ...JSON_OPTION,
  },
  async run(args, effects) {
    const [path] = args.words;
    if (path === undefined || args.words.length > 1)
      throw new UsageError('give one RUN: the path of a log beside its session.md');
    const content = resolve(args.text('content') ?? '');
    const asked = place(path);
    const against = args.text('against');
    // The session may lie anywhere: its own folder says where its campaign's sessions are.
    const sessions = dirname(asked.folder);
    const loaded = await loadCampaign({ content, sessions }, effects);
    const home = loaded.sessions.find(({ id }) => id === asked.session);
    if (!home) throw new UsageError(`no session.md beside \`${path}\``);
    const problems: Problem[] = [...loaded.problems, ...home.problems];
    if (!home.session) return say(problems, effects);
    if (!home.session.runs.some(({ files }) => files.includes(asked.run)))
      throw new UsageError(`\`${asked.run}\` is not under \`runs:\` of ${home.file}`);
    const circuit = home.session.circuit;
    const from = against === null ? loaded : withReference(loaded, circuit, against);
    const found = await referenceOf(from, circuit, effects, !args.flag('json'));
    problems.push(...found.problems);
    const number = args.text('lap');
    // Only the lap that is asked for is worked out in full: somebody waits for it.
    const wanted = (laps: readonly JudgedLap[]): number[] =>
      args.flag('json') ? laps.map(({ lap }) => lap.number) : [chosen(laps, number)?.lap.number ?? -1];
    const analysis = await analyseSession(from, home, found.reference, effects, {
      run: asked.run,
      laps: args.flag('json') ? 'all' : { lap: number === null ? null : Number(number) },
      wanted,
    });
    const run = analysis?.result.runs[0];
    if (!analysis || !run) return say(problems, effects);
    problems.push(...(run.problems as Problem[]));
    const lap = run.laps.find(({ ledger }) => ledger.length > 0) ?? null;
    if (args.flag('json')) effects.out(JSON.stringify(core(analysis.result), null, 2));
    else if (lap === null) effects.out(noLap(run.laps));
    else effects.out(ledgerText(analysis.result, run, lap, found.reference ? referenceName(found.reference) : null));
    return say(problems, effects, 'warn');
  },
};

function place(path: string): { folder: string; session: string; run: string } {
  const full = resolve(path);
  const folder = dirname(full);
  return { folder, session: basename(folder), run: basename(full) };
}

/** The same campaign with another reference. */
function withReference(loaded: LoadedCampaign, circuit: string, path: string): LoadedCampaign {
  const { session, run } = place(path);
  if (!loaded.sessions.some(({ id }) => id === session)) throw new UsageError(`no session.md beside \`${path}\``);
  const before = loaded.campaign.reference(circuit);
  const same = before?.session === session && (before.run ?? run) === run;
  return same
    ? loaded
    : {
        ...loaded,
        campaign: { ...loaded.campaign, reference: () => ({ session, run, lap: null }) },
      };
}

/** The lap that was asked for, or the best valid one; without a valid lap the best whole one, or the one that went farthest. */
function chosen(laps: readonly JudgedLap[], number: string | null): JudgedLap | null {
  if (number !== null) {
    const lap = laps.find(({ lap: l }) => String(l.number) === number);
    if (!lap)
      throw new UsageError(`no lap ${number}; this run has ${laps.map((l) => l.lap.number).join(', ') || 'none'}`);
    return lap;
  }
  const time = ({ aligned }: JudgedLap): number => aligned?.timeS ?? Number.POSITIVE_INFINITY;
  const whole = laps.filter((lap) => Number.isFinite(time(lap)));
  const valid = whole.filter((lap) => lap.valid);
  const [best] = (valid.length > 0 ? valid : whole).toSorted((x, y) => time(x) - time(y));
  const reach = ({ aligned }: JudgedLap): number => aligned?.coveredM ?? 0;
  return best ?? laps.filter((lap) => reach(lap) > 0).toSorted((x, y) => reach(y) - reach(x))[0] ?? null;
}

function noLap(laps: readonly LapResult[]): string {
  const list = laps.map(
    (l) => `  lap ${l.lap}, ${l.kind}: ${l.reasons.map((r) => r.text).join('; ') || 'not from gate to gate'}`,
  );
  return ['No lap of this run can be compared.', ...list].join('\n');
}

const referenceName = ({ session, run, lap }: Reference): string => `${session}/${run}, lap ${lap.lap.number}`;

/** The core of a session's result, without technique and curves. */
function core(result: SessionResult): unknown {
  return {
    schema: result.schema,
    session: result.session,
    phaseMap: result.phaseMap,
    reference: result.reference,
    runs: result.runs.map(({ file, sha256, problems, laps }) => ({
      file,
      sha256,
      problems,
      laps: laps.map(({ technique: _t, curves: _c, ...lap }) => ({ ...lap, ledger: lap.ledger as LedgerCell[] })),
    })),
  };
}
