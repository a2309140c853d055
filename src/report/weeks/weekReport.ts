import type { SessionResult } from '../../campaign/results.ts';
import { weekNamed, weekOf } from '../../read/isoWeek.ts';
import { lossSentence } from '../losses.ts';
import { medianSkyline } from '../medianSkyline.ts';
import { asGaps, largestTable, MEDIAN_DIGITS } from '../medians.ts';
import { type NotePart, partsOf } from '../noteParts.ts';
import { weekNotes } from '../notes/note.ts';
import { weeksOf } from '../notes/weeksOf.ts';
import { pageOf } from '../pageOf.ts';
import { sessionPath, weekPath } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Figure, Page, Piece, Table } from '../report.ts';
import { lapTime, listWords, plural, seconds, sentence } from '../words.ts';
import { changeOf, lapsOfAll, whole } from './change.ts';
import { changedSentence, changeFound } from './changed.ts';
import { type WeekOf, type WeekTables, weekSessions, weekTables } from './weekTables.ts';

/** The page of one week. */
export interface WeekReport extends Page, WeekTables {
  readonly kind: 'week';
  readonly figure: Figure | null;
  readonly notes: readonly NotePart[];
  readonly next: readonly (readonly NotePart[])[];
  /** The largest remaining losses. */
  readonly largest: Table | null;
  readonly before: Piece | null;
  readonly after: Piece | null;
}

/** Everything the page of a week says. */
export function weekReport(results: Results, week: string): WeekReport {
  const of = weekSessions(results, week);
  const { now } = of;
  const path = weekPath(week);
  const days = weekNamed(week);
  const note = results.campaign.weeks.find((w) => w.week === week);
  const weeks = weeksOf(results);
  const at = weeks.indexOf(week);
  const link = (name: string | undefined): Piece | null => (name ? { text: name, href: weekPath(name) } : null);
  const notes = weekNotes(results, week);
  const figure = now ? skylineOf(results, now) : null;
  return {
    kind: 'week',
    ...pageOf(results, {
      path,
      name: week,
      kicker: [{ text: `Week ${week}, ${days?.monday} to ${days?.sunday}${note?.title ? ` · ${note.title}` : ''}` }],
      ...weekHeadline(results, week),
    }),
    ...weekTables(results, week),
    figure,
    notes: notes.filter((n) => n.body).flatMap((n) => partsOf(results, n, figure ? 2 : 1)),
    next: notes.filter((n) => !n.body).map((n) => partsOf(results, n)),
    largest: now?.summary ? largestTable(now, 5) : null,
    before: link(weeks[at - 1]),
    after: link(weeks[at + 1]),
  };
}

/** A week in a headline and a few sentences. */
export function weekHeadline(results: Results, week: string): { headline: string; opening: string } {
  const of = weekSessions(results, week);
  return { headline: headline(of), opening: opening(results, of) };
}

const gapOf = (session: SessionResult): number => session.summary!.medianGapS!;

function headline({ sessions, now, before }: WeekOf): string {
  if (!now)
    return sessions.length === 0 ? 'Nothing was run' : `${sentence(plural(sessions.length, 'session'))}, none compared`;
  const gapS = gapOf(now);
  const gap = `${seconds(Math.abs(gapS), null, MEDIAN_DIGITS)} ${gapS < 0 ? 'ahead' : 'behind'}`;
  if (!before) return sentence(gap);
  const change = gapS - gapOf(before);
  if (Math.abs(change) < 0.005) return `${sentence(gap)}, as in ${weekOf(before.date).name}`;
  return `${sentence(gap)}, ${seconds(Math.abs(change), null, MEDIAN_DIGITS)} ${change < 0 ? 'less' : 'more'} than in ${weekOf(before.date).name}`;
}

function opening(results: Results, { sessions, now, before }: WeekOf): string {
  if (sessions.length === 0) return 'There is a note and no session of this week.';
  const laps = sessions.flatMap((s) => results.laps(s));
  const stages = [...new Set(sessions.map((s) => s.stage))];
  const ran = `${sentence(plural(sessions.length, 'session'))} (${listWords(stages)}), ${plural(laps.length, 'lap')}, ${laps.filter((l) => l.lap.counted).length} counted.`;
  if (!now?.summary) return ran;
  const sum = now.summary;
  const gaps = asGaps(sum.cells);
  const part = changedMost(results, now, before);
  return [
    ran,
    `Median ${lapTime(sum.medianS, 1)} over ${plural(sum.laps, 'lap')} of ${now.session}.`,
    before ? changedSentence(changeFound(results, [whole(before)], [whole(now)])) : '',
    part,
    lossSentence(gaps),
  ]
    .filter(Boolean)
    .join(' ');
}

/** The phase and the corner that changed most since then. */
function changedMost(results: Results, now: SessionResult, before: SessionResult | null): string {
  if (!before) return '';
  const [a, b] = [lapsOfAll(results, [whole(before)]), lapsOfAll(results, [whole(now)])];
  const corners = (results.circuit(now.circuit)?.corners ?? []).flatMap(({ name }) => {
    const change = changeOf(a, b, { corner: name });
    return change ? [{ name, ...change }] : [];
  });
  const most = corners.toSorted((x, y) => Math.abs(y.changeS) - Math.abs(x.changeS))[0];
  if (!most || Math.abs(most.changeS) < 0.005) return '';
  return `Against ${before.session} most changed in ${/^\d/.test(most.name) ? `corner ${most.name}` : most.name}: ${seconds(Math.abs(most.changeS), null, MEDIAN_DIGITS)} ${most.changeS < 0 ? 'less' : 'more'} lost there.`;
}

function skylineOf(results: Results, session: SessionResult): Figure | null {
  const circuit = results.circuit(session.circuit);
  if (!circuit || (session.summary?.cells ?? []).length === 0) return null;
  return medianSkyline(results, session, circuit.lengthM, {
    number: 1,
    source: [{ text: 'Counted laps of ' }, { text: session.session, href: sessionPath(session.session) }],
    doubts: [],
  });
}
