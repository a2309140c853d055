import type { Milestone, SessionResult } from '../../campaign/results.ts';
import { weekNamed, weekOf } from '../../read/isoWeek.ts';
import { latestSession } from '../now.ts';
import { briefPath, frontPath, milestonePath, sessionPath, weekPath } from '../paths.ts';
import type { Results } from '../readResults.ts';

/** A text that an engineer wrote, with where it is from and where it is read. */
export interface Note {
  /** As the user knows it. */
  readonly file: string;
  /** Line of the file on which the text begins. */
  readonly line: number;
  /** Markdown. */
  readonly text: string;
  /** Site path of the page that shows it. */
  readonly page: string;
  /** Told apart from the other notes of its page by this, in ids. */
  readonly id: string;
  /** What it is about, in words. */
  readonly title: string;
  /** The session that values are of where nothing is said; null where there is none. */
  readonly session: SessionResult | null;
  /** Whether the text is the body of its file, which `gapbook confirm` may write to. */
  readonly body: boolean;
}

/** The note about the campaign; null where nothing is written. */
export function campaignNote(results: Results): Note | null {
  const { campaign } = results;
  if (campaign.about.trim() === '') return null;
  return {
    file: 'campaign.md',
    line: campaign.aboutLine,
    text: campaign.about,
    page: frontPath,
    id: 'about',
    title: 'about the campaign',
    session: latestSession(results),
    body: true,
  };
}

/** The note of a session; null where nothing is written. */
export function sessionNote(session: SessionResult): Note | null {
  if (session.notes.trim() === '') return null;
  return {
    file: `${session.session}/session.md`,
    line: session.notesLine,
    text: session.notes,
    page: sessionPath(session.session),
    id: 'notes',
    title: session.session,
    session,
    body: true,
  };
}

/** The session that the notes of a week are about: its own, else the latest up to its end, else the latest. */
const sessionOfWeek = (results: Results, own: readonly SessionResult[], week: string): SessionResult | null =>
  latestSession(results, own) ??
  latestSession(results, results.sessions, weekNamed(week)?.sunday) ??
  latestSession(results);

/** The notes of a week: the text, then what comes next, line by line; empty where the week has no file. */
export function weekNotes(results: Results, week: string): readonly Note[] {
  const { campaign, sessions } = results;
  const of = campaign.weeks.find((w) => w.week === week);
  if (!of) return [];
  const own = sessions.filter((s) => weekOf(s.date).name === week);
  const session = sessionOfWeek(results, own, week);
  const common = { file: of.file, page: weekPath(week), title: week, session };
  return [
    ...(of.text === '' ? [] : [{ ...common, line: of.line, text: of.text, id: 'notes', body: true }]),
    ...of.next.map(({ text, line }, i) => ({ ...common, line, text, id: `next-${i + 1}`, body: false })),
  ];
}

/** What a week's file says for the brief of the week: sentences, decisions, risks, line by line. */
export function weekBriefNotes(results: Results, week: string): readonly Note[] {
  const of = results.campaign.weeks.find((w) => w.week === week);
  if (!of) return [];
  const own = results.sessions.filter((s) => weekOf(s.date).name === week);
  const session = sessionOfWeek(results, own, week);
  return (['sentences', 'decisions', 'risks'] as const).flatMap((key) =>
    of[key].flatMap((line, i): Note[] =>
      line
        ? [{ file: of.file, page: briefPath(week), title: week, session, ...line, id: `${key}-${i + 1}`, body: false }]
        : [],
    ),
  );
}

/** The notes of a milestone: the text, the brief's sentences, then decisions, risks and limits, line by line. */
export function milestoneNotes(results: Results, milestone: Milestone): readonly Note[] {
  const { id, file, date, evidence } = milestone;
  const named = results.sessions.filter((s) => evidence.some((e) => e.session === s.session));
  const session =
    latestSession(results, named) ?? latestSession(results, results.sessions, date) ?? latestSession(results);
  const common = { file, page: milestonePath(id), title: milestone.title, session };
  const lines = (of: 'sentences' | 'decisions' | 'risks' | 'limits'): Note[] =>
    milestone[of].flatMap((line, i) =>
      line
        ? [
            {
              ...common,
              ...line,
              id: `${of}-${i + 1}`,
              body: false,
              ...(of === 'sentences' ? { page: briefPath(id) } : {}),
            },
          ]
        : [],
    );
  return [
    ...(milestone.text === ''
      ? []
      : [{ ...common, line: milestone.line, text: milestone.text, id: 'notes', body: true }]),
    ...lines('sentences'),
    ...lines('decisions'),
    ...lines('risks'),
    ...lines('limits'),
  ];
}

/** Every note of a campaign, in the order of its pages. */
export function notesOf(results: Results): readonly Note[] {
  const some = (note: Note | null): Note[] => (note ? [note] : []);
  return [
    ...some(campaignNote(results)),
    ...results.campaign.weeks.flatMap(({ week }) => [...weekNotes(results, week), ...weekBriefNotes(results, week)]),
    ...results.campaign.milestones.flatMap((milestone) => milestoneNotes(results, milestone)),
    ...results.sessions.flatMap((session) => some(sessionNote(session))),
  ];
}
