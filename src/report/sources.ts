import type { SessionResult } from '../campaign/results.ts';
import { sessionPath } from './paths.ts';
import type { LapOf, Results } from './readResults.ts';
import type { Piece } from './report.ts';
import type { RobotDay } from './robotDays.ts';
import { plural, sentence } from './words.ts';

/** Logs that are named one by one. */
const MOST_LOGS = 3;
/** Letters of a hash that are enough to recognise it; in full it stands on the page of its session. */
const HASH_LETTERS = 8;

const linkToLap = (results: Results, name: { session: string; run: string; lap: number }): Piece => {
  const page = results.lap(name)?.page;
  return { text: `lap ${name.lap} of ${name.run}, ${name.session}`, ...(page ? { href: page } : {}) };
};

/** What numbers of one lap rest on: the lap, its log by its hash, and the reference lap. */
export function lapSource(results: Results, { session, run, lap }: LapOf): Piece[] {
  const own = linkToLap(results, { session: session.session, run: run.file, lap: lap.lap });
  return [
    { ...own, text: sentence(own.text) },
    { text: ` (SHA-256 ${run.sha256.slice(0, HASH_LETTERS)}…)`, href: `${sessionPath(session.session)}#data-heading` },
    ...(session.reference ? [{ text: '; against ' }, linkToLap(results, session.reference)] : []),
  ];
}

/** What numbers over a session's counted laps rest on: its laps, its logs by their hashes, and the reference lap. */
export function sessionSource(results: Results, session: SessionResult, own = false): Piece[] {
  const logs: Piece[] = session.runs.slice(0, MOST_LOGS).flatMap((run): Piece[] => [
    { text: ', ' },
    {
      text: `${run.file} (SHA-256 ${run.sha256.slice(0, HASH_LETTERS)}…)`,
      href: own ? '#data-heading' : `${sessionPath(session.session)}#data-heading`,
    },
  ]);
  const more = session.runs.length - MOST_LOGS;
  return [
    { text: session.summary ? `${sentence(plural(session.summary.laps, 'counted lap'))} of ` : 'Laps of ' },
    { text: session.session, ...(own ? {} : { href: sessionPath(session.session) }) },
    ...logs,
    ...(more > 0 ? [{ text: ` and ${plural(more, 'further log')}` }] : []),
    ...(session.reference ? [{ text: '; against ' }, linkToLap(results, session.reference)] : []),
  ];
}

/** What numbers over several sessions rest on, with the way to every log. */
export function daysSource(days: readonly RobotDay[]): Piece[] {
  const laps = days.reduce((sum, d) => sum + d.laps.length, 0);
  const logs = days.reduce((sum, d) => sum + d.session.runs.length, 0);
  return [
    {
      text: `${sentence(plural(laps, 'counted lap'))} from ${plural(logs, 'log')} of ${plural(days.length, 'session')}; `,
    },
    { text: 'every log with its SHA-256', href: 'runs.csv' },
  ];
}
