import { resolve } from 'node:path';
import { editionsIn, type FoundEdition } from '../archive/editionsIn.ts';
import type { Folders } from '../campaign/load.ts';
import type { Effects } from '../effects.ts';
import { type Arguments, type Command, type ExitStatus, FOLDER_OPTIONS, UsageError } from './command.ts';
import { EDITIONS_OPTION, editionsFolder } from './editionsFolder.ts';
import { alone, LOCK } from './lock.ts';
import { checkOut } from './outFolder.ts';
import { writeResults } from './resultsFolder.ts';
import { allProblems, counted, say } from './said.ts';
import { renderSite } from './site.ts';

export const BUILD_OPTIONS = {
  ...FOLDER_OPTIONS,
  ...EDITIONS_OPTION,
  out: { kind: 'text', help: 'folder of the site', default: 'dist' },
  cache: { kind: 'text', help: 'folder for results in between; always safe to delete', default: '.cache/gapbook' },
  'as-of': {
    kind: 'text',
    help: 'date of the report, 2026-03-01; else SOURCE_DATE_EPOCH, else that of the newest session',
  },
} as const;

/** `gapbook build`: analyses the campaign and renders the whole site. */
export const build: Command = {
  name: 'build',
  usage: `gapbook build

Reads the campaign, analyses every session and renders the report site. One run's fault never hides another's
result: the site is built all the same, lists the problem, and the exit status is 1.

Only what changed since the last build is analysed and rendered. The --out folder is emptied: it has to be new, empty,
or made by gapbook.`,
  options: BUILD_OPTIONS,
  run: buildOnce,
};

export interface BuildPlan {
  readonly folders: Folders;
  readonly out: string;
  readonly cache: string;
  readonly date: string | null;
  readonly editions: readonly FoundEdition[];
}

/** What a command line that builds says: folders, date, and the editions that the site carries. */
export async function buildPlan(args: Arguments, effects: Effects): Promise<BuildPlan> {
  if (args.words.length > 0)
    throw new UsageError(
      `\`${args.words.join(' ')}\` is one word too many; folders are given with --content, --sessions, --out`,
    );
  const folder = (name: string): string => resolve(args.text(name) ?? '');
  const folders = { content: folder('content'), sessions: folder('sessions') };
  const [out, cache] = [folder('out'), folder('cache')];
  await checkOut(out, [
    { name: 'the content', path: folders.content },
    { name: 'the sessions', path: folders.sessions },
    { name: 'the cache', path: cache },
  ]);
  const { editions, unreadable } = await editionsIn(editionsFolder(args), effects);
  for (const { folder: path, why } of unreadable) effects.err(`${path} is no edition that can be shown: ${why}`);
  return { folders, out, cache, date: asOf(args.text('as-of')), editions };
}

async function buildOnce(args: Arguments, effects: Effects): Promise<ExitStatus> {
  const { folders, out, cache, date, editions } = await buildPlan(args, effects);
  const { campaign, sessions, pages, files, bytes, carriedBytes } = await alone(LOCK, effects, async () => {
    const records = editions.map(({ record }) => record);
    const written = await writeResults(folders, cache, date, effects, { editions: records });
    return { ...written, ...(await renderSite(written, out, cache, effects, editions)) };
  });
  const problems = allProblems(campaign, sessions);
  const status = say(problems, effects, 'warn');
  const laps = sessions.flatMap((s) => s.runs.flatMap((r) => r.laps)).length;
  effects.out(
    `${sessions.length} session(s), ${laps} lap(s); ${pages} pages, ${files} other files, ${(bytes / 1e6).toFixed(1)} MB in ${args.text('out')}${editions.length > 0 ? `, and ${editions.length} edition(s) beside them, ${(carriedBytes / 1e6).toFixed(1)} MB` : ''}; ${counted(problems)}`,
  );
  return status;
}

/** The date that a report is asked to be of: by `--as-of`, else SOURCE_DATE_EPOCH; null where nobody asked. */
export function asOf(asked: string | null): string | null {
  if (asked !== null) {
    if (!/^\d{4}-\d\d-\d\d$/.test(asked))
      throw new UsageError(`--as-of takes a date such as 2026-03-01, not \`${asked}\``);
    return asked;
  }
  const epoch = process.env['SOURCE_DATE_EPOCH'];
  return epoch && /^\d+$/.test(epoch) ? new Date(Number(epoch) * 1000).toISOString().slice(0, 10) : null;
}
