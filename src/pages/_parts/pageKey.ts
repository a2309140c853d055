import { resultPath } from '../../campaign/analyseCampaign.ts';
import { sha256 } from '../../effects.ts';
import type { ProblemCode } from '../../problem.ts';
import type { Pair } from '../../report/evidence/pairs.ts';
import { noteReads } from '../../report/noteParts.ts';
import { sessionNote } from '../../report/notes/note.ts';
import { pageOf } from '../../report/pageOf.ts';
import { problemList } from '../../report/problemList.ts';
import type { LapOf, StoredResults } from '../../report/readResults.ts';

type Session = StoredResults['sessions'][number];

/**
 * A page with the same key need not be rendered again, so a key covers everything that a page reads: whatever a report
 * takes from the results has to be named here. The code of the pages themselves stands in GAPBOOK_CODE.
 */
function keyOf(results: StoredResults, date: string | null | undefined, parts: readonly unknown[]): string {
  const dated = date === undefined ? {} : { date };
  const frame = pageOf(results, { path: '', name: '', kicker: [], headline: '', opening: '', ...dated });
  return sha256(
    [process.env['GAPBOOK_CODE'], JSON.stringify(frame), ...parts.map((part) => hashed(results, part))].join('\n'),
  );
}

/** Key of the page of a session. */
export function sessionKey(results: StoredResults, session: Session): string {
  const at = results.sessions.indexOf(session);
  const beside = [results.sessions[at - 1], results.sessions[at + 1]].map((other) => other?.session);
  const reference = session.reference && results.lap(session.reference);
  const laps = [...results.laps(session), ...(reference ? [reference] : [])].map(({ lap }) => curvesHash(results, lap));
  const noted = noteReads(results, sessionNote(session));
  return keyOf(results, session.date, [...read(results, session), beside, laps, ...noted]);
}

/** Key of the page of a lap. */
export function lapKey(results: StoredResults, { session, run, lap }: LapOf): string {
  return keyOf(results, session.date, [...read(results, session), run.file, lap.lap, curvesHash(results, lap)]);
}

/** Key of the page of a problem code. */
export const problemKey = (results: StoredResults, code: ProblemCode): string =>
  keyOf(results, null, [code, problemList(results).filter((problem) => problem.code === code)]);

/** Key of the page of two editions. */
export const pairKey = (results: StoredResults, { before, now }: Pair): string =>
  keyOf(results, undefined, [before, now]);

/** Key of a page that looks at the whole campaign. */
export const campaignKey = (results: StoredResults): string =>
  keyOf(results, undefined, [results.campaign, ...results.sessions]);

/** Key of the page of a milestone: the whole campaign, and its editions. */
export const milestoneKey = (results: StoredResults, milestone: string): string =>
  keyOf(results, undefined, [
    results.campaign,
    ...results.sessions,
    results.editions.filter((edition) => edition.milestone === milestone),
  ]);

/** What pages about one session read: itself, its circuit, the session that its reference lap is of, who rides. */
function read(results: StoredResults, session: Session): unknown[] {
  const reference = session.reference && results.session(session.reference.session);
  const found = results.campaign.findings.sessions.find((one) => one.session === session.session);
  return [session, results.circuit(session.circuit), reference, results.campaign.riders, found];
}

/** Curves stand behind the page of their lap and that of its session; empty where there are none. */
const curvesHash = (results: StoredResults, { curves }: LapOf['lap']): string =>
  curves === null ? '' : stored(results, curves);

function stored({ hashes }: StoredResults, path: string): string {
  const hash = hashes.get(path);
  if (hash === undefined) throw new Error(`${path} is not among the results`);
  return hash;
}

const known = new WeakMap<object, string>();

/** Results are large and stand behind many pages: each is hashed once, and sessions as their files are. */
function hashed(results: StoredResults, part: unknown): string {
  if (typeof part !== 'object' || part === null) return JSON.stringify(part) ?? '';
  const first = results.sessions[0];
  if (first && !known.has(first))
    for (const session of results.sessions) known.set(session, stored(results, resultPath(session.session)));
  let hash = known.get(part);
  if (!hash) known.set(part, (hash = sha256(JSON.stringify(part))));
  return hash;
}
