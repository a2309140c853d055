import type { SessionResult } from '../campaign/results.ts';
import { PROBLEMS, type ProblemCode, placeText } from '../problem.ts';
import { noteProblems } from './notes/checkedNotes.ts';
import { problemsPath, slug } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Doubt } from './report.ts';
import { plural } from './words.ts';

/** A problem of the input with the place it has on the problems page. */
export interface ListedProblem {
  /** Id of its entry on the problems page. */
  readonly anchor: string;
  readonly session: string | null;
  readonly run: string | null;
  readonly code: string;
  /** Site path of what there is to say of its code; null where the code is not one of ours. */
  readonly page: string | null;
  readonly meaning: string;
  readonly severity: 'stop' | 'warn' | 'note';
  readonly place: string;
  readonly lap: number | null;
  readonly found: string;
  readonly expected: string;
  readonly remedy: string;
  readonly accepted: string | null;
}

/** Codes that have a page: all of them, and in an edition those that it met. */
export function codesOf(results: Results): ProblemCode[] {
  const all = Object.keys(PROBLEMS) as ProblemCode[];
  if (results.campaign.edition === null) return all;
  const met = new Set(problemList(results).map(({ code }) => code as string));
  return all.filter((code) => met.has(code));
}

/** What the problems that stop have done, in clauses; empty where none is open. A claim that is untrue is there for all to see. */
export function stopWords(list: readonly ListedProblem[]): string[] {
  const stops = list.filter(({ accepted, severity }) => accepted === null && severity === 'stop');
  const untrue = stops.filter(({ code }) => code === ('CLAIM_UNTRUE' satisfies ProblemCode)).length;
  const lost = stops.length - untrue;
  return [
    ...(lost > 0 ? [`${plural(lost, 'problem')} kept something out of this report`] : []),
    ...(untrue > 0 ? [`${plural(untrue, 'claim')} of the notes ${untrue === 1 ? 'is' : 'are'} untrue`] : []),
  ];
}

/** Site path of the page of a problem code. */
export const problemPath = (code: string): string => `problems/${code}.html`;

type Raw = SessionResult['problems'][number];

/** Every problem of the campaign: its own files first, then session by session, in the order they were met. */
export function problemList(results: Results): ListedProblem[] {
  const list: ListedProblem[] = [];
  const add = (problems: readonly Raw[], session: string | null, run: string | null): void => {
    for (const problem of problems) {
      const owner = session === null ? 'campaign' : slug(session);
      const rank = list.filter((p) => p.session === session).length + 1;
      list.push({
        anchor: `problem-${owner}-${rank}`,
        session,
        run,
        code: problem.code,
        page: Object.hasOwn(PROBLEMS, problem.code) ? problemPath(problem.code) : null,
        meaning: PROBLEMS[problem.code as ProblemCode] ?? '',
        severity: problem.severity,
        place: placeText(stripped(problem.place)),
        lap: problem.place.lap ?? null,
        found: problem.found,
        expected: problem.expected,
        remedy: problem.remedy,
        accepted: problem.accepted ?? null,
      });
    }
  };
  add(results.campaign.problems, null, null);
  for (const session of results.sessions) {
    add(session.problems, session.session, null);
    for (const run of session.runs) add(run.problems, session.session, run.file);
  }
  add(noteProblems(results), null, null);
  return list;
}

/** Without the keys that are only there as undefined. */
function stripped(place: Raw['place']): Parameters<typeof placeText>[0] {
  return Object.fromEntries(Object.entries(place).filter(([, v]) => v !== undefined)) as unknown as Parameters<
    typeof placeText
  >[0];
}

/** What casts doubt on figures drawn from a lap or a session: problems that are more than notes. */
export function doubtsOf(list: readonly ListedProblem[], session: string, run?: string, lap?: number): Doubt[] {
  return list
    .filter((p) => p.session === session && p.severity !== 'note' && p.accepted === null)
    .filter((p) => run === undefined || p.run === null || p.run === run)
    .filter((p) => lap === undefined || p.lap === null || p.lap === lap)
    .map((p) => ({ text: `${p.meaning || p.code}.`, href: `${problemsPath}#${p.anchor}` }));
}
