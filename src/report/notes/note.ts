import type { Milestone, SessionResult } from '../../campaign/results.ts';
import { weekNamed, weekOf } from '../../read/isoWeek.ts';
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

/** The session that speaks for the campaign up to a day: the latest on the track that compares, else the latest that compares. */
export function latestSession(sessions: readonly SessionResult[], until = '9999'): SessionResult | null {
  const compared = sessions.filter(
    (s) => s.date <= until && s.rider.kind === 'robot' && s.summary !== null && s.summary.medianGapS !== null,
  );
  return compared.findLast((s) => s.stage === 'track') ?? compared.at(-1) ?? null;
}

/** The note about the campaign; null where nothing is written. */
export function campaignNote({ campaign, sessions }: Results): Note | null {
  if (campaign.about.trim() === '') return null;
  return {
    file: 'campaign.md',
    line: campaign.aboutLine,
    text: campaign.about,
    page: frontPath,
    id: 'about',
    title: 'about the campaign',
    session: latestSession(sessions),
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

/** The notes of a week: the text, then what comes next, line by line; empty where the week has no file. */
export function weekNotes({ campaign, sessions }: Results, week: string): readonly Note[] {
  const of = campaign.weeks.find((w) => w.week === week);
  if (!of) return [];
  const own = sessions.filter((s) => weekOf(s.date).name === week);
  const session = latestSession(own) ?? latestSession(sessions, weekNamed(week)?.sunday) ?? latestSession(sessions);
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
  const own = latestSession(results.sessions.filter((s) => weekOf(s.date).name === week));
  const session = own ?? latestSession(results.sessions, weekNamed(week)?.sunday) ?? latestSession(results.sessions);
  return (['sentences', 'decisions', 'risks'] as const).flatMap((key) =>
    of[key].flatMap((line, i): Note[] =>
      line
        ? [{ file: of.file, page: briefPath(week), title: week, session, ...line, id: `${key}-${i + 1}`, body: false }]
        : [],
    ),
  );
}

/** The notes of a milestone: the text, the brief's sentences, then decisions, risks and limits, line by line. */
export function milestoneNotes({ sessions }: Pick<Results, 'sessions'>, milestone: Milestone): readonly Note[] {
  const { id, file, date, evidence } = milestone;
  const named = sessions.filter((s) => evidence.some((e) => e.session === s.session));
  const session = latestSession(named) ?? latestSession(sessions, date) ?? latestSession(sessions);
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
