import { PROBLEMS } from '../problem.ts';
import { pageOf } from './pageOf.ts';
import { problemsPath, sessionPath, slug, tableLinks } from './paths.ts';
import { codesOf, type ListedProblem, problemList, problemPath, stopWords } from './problemList.ts';
import type { Results } from './readResults.ts';
import type { Page, Piece, Table } from './report.ts';
import { count, MISSING, plural, sentence } from './words.ts';

/** What was wrong with the input. */
export interface ProblemsReport extends Page {
  readonly kind: 'problems';
  readonly groups: readonly {
    readonly id: string;
    readonly title: Piece;
    readonly problems: readonly ListedProblem[];
  }[];
  /** Every code there is, with the page that explains it. */
  readonly codes: Table;
}

/** Everything the problems page says. */
export function problemsReport(results: Results): ProblemsReport {
  const list = problemList(results);
  const open = list.filter((p) => p.accepted === null);
  const stops = open.filter((p) => p.severity === 'stop').length;
  const warnings = open.filter((p) => p.severity === 'warn').length;
  const notes = open.length - stops - warnings;
  const accepted = list.length - open.length;
  const sessions = results.sessions.filter((s) => list.some((p) => p.session === s.session));
  const own = list.filter((p) => p.session === null);
  return {
    kind: 'problems',
    ...pageOf(results, {
      path: problemsPath,
      name: 'Problems of the input',
      kicker: [{ text: 'Problems of the input' }],
      headline:
        list.length === 0
          ? 'Nothing was wrong with the input'
          : `${sentence(plural(list.length, 'problem'))}, ${stops === 0 ? 'none of which stops' : `${stops} of which ${stops === 1 ? 'stops' : 'stop'}`}`,
      opening:
        list.length === 0
          ? 'Every file was read as it is meant to be.'
          : `${[
              ...stopWords(open),
              warnings
                ? `${plural(warnings, 'warning')} ${warnings === 1 ? 'makes' : 'make'} something less certain`
                : '',
              notes ? `${plural(notes, 'note')} ${notes === 1 ? 'says' : 'say'} how the data were read` : '',
              accepted ? `${accepted} ${accepted === 1 ? 'was' : 'were'} accepted in a session file` : '',
            ]
              .filter(Boolean)
              .map((text, i) => (i === 0 ? sentence(text) : text))
              .join('; ')}. No log was changed.`,
    }),
    groups: [
      ...(own.length ? [{ id: 'campaign', title: { text: 'Campaign, circuits and phase maps' }, problems: own }] : []),
      ...sessions.map((s) => ({
        id: `session-${slug(s.session)}`,
        title: { text: s.session, href: sessionPath(s.session) },
        problems: list.filter((p) => p.session === s.session),
      })),
    ],
    codes: {
      id: 'codes',
      ...tableLinks(problemsPath, 'codes'),
      more: [
        { text: 'the problems of this campaign as CSV', href: tableLinks(problemsPath, 'problems').csv },
        { text: 'as JSON', href: tableLinks(problemsPath, 'problems').json },
      ],
      caption: 'Problem codes',
      columns: [
        { title: 'code', kind: 'text' },
        { title: 'what it means', kind: 'text' },
        { title: 'here', kind: 'number' },
      ],
      rows: codesOf(results).map((code) => {
        const found = list.filter((p) => p.code === code).length;
        return [
          { text: code, href: problemPath(code) },
          { text: PROBLEMS[code] },
          found > 0 ? { text: count(found), tone: 'strong' } : { text: MISSING, tone: 'quiet' },
        ];
      }),
    },
  };
}
