import type { Milestone } from '../../campaign/results.ts';
import { weekNamed } from '../../read/isoWeek.ts';
import { cellWords } from '../cells.ts';
import { figureOf } from '../figureOf.ts';
import { descent } from '../figures/descent.ts';
import type { Form } from '../figures/drawing.ts';
import { losses, lossSentence } from '../losses.ts';
import { asGaps } from '../medians.ts';
import { type NotePart, partsOf } from '../noteParts.ts';
import { milestoneNotes, type Note, weekBriefNotes } from '../notes/note.ts';
import { weeksOf } from '../notes/weeksOf.ts';
import { pageOf } from '../pageOf.ts';
import { briefPath, milestonePath, sessionPath, tableLinks, weekPath } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Figure, Page, Piece } from '../report.ts';
import { standing } from '../standing.ts';
import { summary } from '../summary.ts';
import { surfaceRemark } from '../surfaceRemark.ts';
import { weekSessions } from '../weeks/weekTables.ts';
import { isoDate, lapTime, listWords, number, percent, plural, seconds, sentence, signed } from '../words.ts';
import { interventions } from './interventions.ts';
import { medianOfLaps } from './medianOfLaps.ts';
import { judged } from './milestoneReport.ts';
import { type Outlook, outlook } from './outlook.ts';
import { type Verdict, verdictOf } from './verdict.ts';
import { chanceWords, DIGITS, limitWords, verdictHeadline } from './words.ts';

/** A number of the brief. */
export interface BriefNumber {
  readonly label: string;
  readonly value: string;
  /** How sure it is. */
  readonly interval: string;
  /** Against the last time. */
  readonly trend: string;
}

/** A sentence of the brief: computed, or what somebody wrote in its place. */
export type BriefSentence = string | readonly NotePart[];

/** One page for people who decide. */
export interface BriefReport extends Page {
  readonly kind: 'brief';
  /** At most five. */
  readonly numbers: readonly BriefNumber[];
  readonly figure: Figure | null;
  /** Three, fewer where there is nothing to say. */
  readonly sentences: readonly BriefSentence[];
  readonly decisions: readonly (readonly NotePart[])[];
  readonly risks: readonly (readonly NotePart[])[];
  /** What there is no room for, by number; 0 where everything is here. */
  readonly more: { readonly decisions: number; readonly risks: number };
  readonly whole: Piece & { readonly href: string };
  /** How much is written, which sets the size of the letters. */
  readonly size: 'usual' | 'small';
}

/** Lines of a list that a brief has room for. */
const MOST_LINES = 4;
/** Letters of sentences and lists from which on they are set smaller. */
const SMALL_FROM = 1100;
/** The figure is half as wide on paper as a figure of a page is, and has to stay legible. */
const FORM: Form = { name: 'wide', width: 700 };

interface Subject {
  readonly id: string;
  readonly kicker: string;
  readonly verdict: Verdict;
  readonly previous: Verdict | null;
  /** Words for what it is compared with. */
  readonly since: string;
  readonly after: string;
  readonly headline: string;
  readonly notes: readonly Note[];
  readonly whole: Piece & { readonly href: string };
}

/** Every brief: one a milestone, one a week in which somebody rode or wrote. */
export const briefsOf = (results: Results): readonly string[] => [
  ...results.campaign.milestones.map(({ id }) => id),
  ...weeksOf(results),
];

/** Everything a brief says. */
export function briefReport(results: Results, id: string): BriefReport {
  const subject = results.campaign.milestones.some((m) => m.id === id) ? ofMilestone(results, id) : ofWeek(results, id);
  const { verdict } = subject;
  const { milestone } = verdict;
  const next = nextTarget(results, verdict);
  const circuit = verdict.session?.circuit ?? '';
  const ahead = outlook(results, { circuit, ...next, until: milestone.date });
  const sentences = computed(subject, next, ahead);
  const given = (of: string, most = MOST_LINES): NotePart[][] =>
    subject.notes
      .filter((n) => n.id.startsWith(`${of}-`))
      .slice(0, most)
      .map((n) => partsOf(results, n).filter((part) => 'html' in part));
  const count = (of: string): number => subject.notes.filter((n) => n.id.startsWith(`${of}-`)).length;
  const letters = [...sentences, ...subject.notes.filter((n) => !n.body).map((n) => n.text)].join('').length;
  return {
    kind: 'brief',
    ...pageOf(results, {
      path: briefPath(id),
      name: `brief, ${milestone.title}`,
      kicker: [{ text: subject.kicker }],
      headline: subject.headline,
      opening: '',
    }),
    numbers: numbersOf(results, subject, next, ahead),
    figure: descentOf(results, verdict, id),
    sentences: sentences.map((text, i): BriefSentence => {
      const own = subject.notes.find((n) => n.id === `sentences-${i + 1}`);
      return own ? partsOf(results, own).filter((part) => 'html' in part) : text;
    }),
    decisions: given('decisions'),
    risks: given('risks'),
    more: {
      decisions: Math.max(0, count('decisions') - MOST_LINES),
      risks: Math.max(0, count('risks') - MOST_LINES),
    },
    whole: subject.whole,
    size: letters > SMALL_FROM ? 'small' : 'usual',
  };
}

function ofMilestone(results: Results, id: string): Subject {
  const { verdict, previous } = judged(results, id);
  const { milestone } = verdict;
  return {
    id,
    kicker: `Brief · milestone “${milestone.title}” · ${milestone.date}`,
    verdict,
    previous,
    since: previous ? `“${previous.milestone.title}”` : '',
    after: previous?.milestone.date ?? '',
    headline: verdictHeadline(verdict),
    notes: milestoneNotes(results, milestone),
    whole: { text: 'the milestone with its evidence', href: milestonePath(id) },
  };
}

/** A week is briefed like a milestone that is measured against the next target. */
function ofWeek(results: Results, week: string): Subject {
  const { now, before } = weekSessions(results, week);
  const date = weekNamed(week)?.sunday ?? week;
  const targets = results.campaign.targets.filter((t) => t.due !== null).sort((a, b) => (a.due! < b.due! ? -1 : 1));
  const target = targets.find((t) => t.due! >= (now?.date ?? date)) ?? targets.at(-1);
  const of = (session: typeof now, title: string): Verdict =>
    verdictOf(results, {
      ...EMPTY,
      id: week,
      title,
      date,
      target: { name: null, due: target?.due ?? null, gapS: target?.gapS ?? null, lapTimeS: target?.lapTimeS ?? null },
      evidence: session ? [{ session: session.session, run: null, lap: null, line: 1 }] : [],
    });
  const verdict: Verdict = now
    ? of(now, week)
    : { ...of(null, week), places: [], laps: [], session: null, level: null, interval: null, conformity: null };
  const gapS = verdict.level?.value ?? now?.summary?.medianGapS ?? null;
  return {
    id: week,
    kicker: `Brief · week ${week} · to ${date}`,
    verdict,
    previous: before ? of(before, before.session) : null,
    since: before ? isoDate(before.date) : '',
    after: before?.date ?? '',
    headline:
      gapS === null
        ? 'Nothing was ridden that compares'
        : `${seconds(Math.abs(gapS), null, DIGITS)} ${gapS < 0 ? 'ahead' : 'behind'}${verdict.limitS === null ? '' : `, ${limitWords(verdict.limitS)} allowed by ${target?.due}`}`,
    notes: weekBriefNotes(results, week),
    whole: { text: 'the week', href: weekPath(week) },
  };
}

const EMPTY: Milestone = {
  id: '',
  file: '',
  title: '',
  date: '',
  target: { name: null, due: null, gapS: null, lapTimeS: null },
  evidence: [],
  risk: 0.05,
  requires: { laps: null, official: false, surface: null },
  sentences: [],
  decisions: [],
  risks: [],
  limits: [],
  signatures: [],
  text: '',
  line: 1,
};

/** The target that is still ahead: the milestone's own where its date has not come, else the next of the campaign. */
function nextTarget(
  results: Results,
  { milestone, limitS, referenceS }: Verdict,
): { due: string | null; limitS: number | null } {
  const { due } = milestone.target;
  if (due !== null && due > milestone.date) return { due, limitS };
  const next = results.campaign.targets
    .filter((t) => t.due !== null && t.due > milestone.date)
    .sort((a, b) => (a.due! < b.due! ? -1 : 1))[0];
  if (!next) return { due: null, limitS: null };
  const gapS = next.gapS ?? (next.lapTimeS !== null && referenceS !== null ? next.lapTimeS - referenceS : null);
  return { due: next.due, limitS: gapS };
}

type Next = ReturnType<typeof nextTarget>;

function numbersOf(results: Results, subject: Subject, next: Next, ahead: Outlook | null): BriefNumber[] {
  const { verdict, previous, since, after } = subject;
  const { level, interval, conformity, limitS, milestone } = verdict;
  const out: BriefNumber[] = [];
  const before = previous?.level ?? null;
  const than = (value: number, unit = '\u202fs'): string =>
    `${number(Math.abs(value), DIGITS)}${unit} ${value <= 0 ? 'less' : 'more'} than ${subject.since.startsWith('“') ? 'at' : 'on'} ${since}`;
  if (level && interval)
    out.push({
      label: 'behind the reference',
      value: seconds(level.value, null, DIGITS),
      interval: `${number(interval.low, DIGITS)} to ${seconds(interval.high, null, DIGITS)}`,
      trend: before ? than(level.value - before.value) : 'the first of its kind',
    });
  if (level && conformity && limitS !== null) {
    const off = level.value - limitS;
    out.push({
      label: off > 0 ? `to find for ${limitWords(limitS)}` : `inside ${limitWords(limitS)}`,
      value: seconds(Math.abs(off), null, DIGITS),
      interval: `inside with a chance of ${chanceWords(conformity.chance)}`,
      trend:
        previous?.conformity && previous.limitS === limitS
          ? `${chanceWords(previous.conformity.chance)} on ${since}`
          : `a pass needs ${seconds(conformity.acceptance, null, DIGITS)}`,
    });
  }
  if (next.due !== null && next.limitS !== null)
    out.push(
      ahead
        ? {
            label: `chance of ${limitWords(next.limitS)} by ${unbroken(next.due)}`,
            value: chanceWords(ahead.chance),
            interval: `${seconds(ahead.medianS, null, DIGITS)} expected, ${number(ahead.lowS, DIGITS)} to ${number(ahead.highS, DIGITS)} (80\u202f%)`,
            trend: earlier(results, verdict, next, after),
          }
        : {
            label: `chance of ${limitWords(next.limitS)} by ${unbroken(next.due)}`,
            value: 'not known',
            interval: 'too few weeks to foretell',
            trend: '',
          },
    );
  const median = medianOfLaps(verdict);
  const cells = asGaps(median?.summary?.cells ?? []);
  const top = losses(cells).largest[0] as (typeof cells)[number] | undefined;
  if (top) {
    const same =
      previous &&
      medianOfLaps(previous)?.summary?.cells.find(
        (c) => c.corner === top.corner && c.cell === top.cell && c.part === top.part,
      );
    out.push({
      label: `lost in ${cellWords(top)}, the most`,
      value: seconds(top.gapS, null, DIGITS),
      interval: `${number(top.lowGapS, DIGITS)} to ${seconds(top.highGapS, null, DIGITS)} over the laps`,
      trend: same ? than(top.gapS - same.medianGapS) : '',
    });
  }
  const hands = interventions(results, after, milestone.date);
  if (hands) {
    const last = after === '' ? null : interventions(results, '', after);
    out.push({
      label: 'interventions per 100\u202fkm',
      value: number(hands.rate, 1),
      interval: `${number(hands.low, 1)} to ${number(hands.high, 1)}; ${hands.count} in ${number(hands.distanceM / 1000)}\u202fkm`,
      trend: `${last ? `${number(last.rate, 1)} before that` : 'since the start'}${hands.open > 0 ? `; ${plural(hands.open, 'open incident')}` : ''}`,
    });
  }
  return out;
}

/** A date that stays on one line. */
const unbroken = (date: string): string => date.replaceAll('-', '\u2011');

/** What the forecast said the last time. */
function earlier(results: Results, verdict: Verdict, next: Next, after: string): string {
  if (after === '') return '';
  const then = outlook(results, { circuit: verdict.session?.circuit ?? '', ...next, until: after });
  return then ? `${chanceWords(then.chance)} as seen on ${after}` : `not known on ${after}`;
}

/** How far off; will it be met; where it is lost. */
function computed(subject: Subject, next: Next, ahead: Outlook | null): string[] {
  const { verdict } = subject;
  const { level, limitS, referenceS, laps, conformity, why } = verdict;
  const out: string[] = [];
  if (level && referenceS !== null) {
    const days = [...new Set(laps.map((l) => isoDate(l.session.date)))];
    const side =
      limitS === null
        ? ''
        : `, ${seconds(Math.abs(limitS - level.value), null, DIGITS)} ${level.value <= limitS ? 'inside' : 'outside'} the target of ${limitWords(limitS)}${conformity?.verdict.endsWith('doubt') ? ', which is too near to be sure' : ''}`;
    out.push(
      `Over ${plural(laps.length, 'lap')} on ${listWords(days)} the robot’s median is ${lapTime(referenceS + level.value, 1)}, ${seconds(level.value, null, DIGITS)} (${percent(level.value / referenceS, 1)}) behind the reference rider${side}.`,
    );
  } else out.push(`${sentence(why || 'nothing was ridden that compares')}.`);
  if (next.due !== null && next.limitS !== null)
    out.push(
      ahead
        ? `As things go, ${limitWords(next.limitS)} by ${next.due} has a chance of ${chanceWords(ahead.chance)}: ${seconds(ahead.medianS, null, DIGITS)} is to be expected then, ${number(ahead.lowS, DIGITS)} to ${seconds(ahead.highS, null, DIGITS)} in four cases of five.`
        : `Next is ${limitWords(next.limitS)} by ${next.due}; there are too few weeks behind us to foretell it.`,
    );
  else out.push('No later target has a date.');
  const cells = asGaps(medianOfLaps(verdict)?.summary?.cells ?? []);
  out.push(cells.length > 0 ? lossSentence(cells) : 'Where it is lost cannot be said.');
  return out;
}

/** How the gap came down to that day, with the targets. */
function descentOf(results: Results, verdict: Verdict, id: string): Figure | null {
  const { milestone, session, referenceS } = verdict;
  const circuit = session?.circuit ?? results.campaign.circuits[0]?.id;
  const stands = results.sessions
    .filter((s) => s.circuit === circuit && s.rider.kind === 'robot' && s.date <= milestone.date)
    .flatMap((s) => {
      // The laps of the evidence speak for their day, so that figure and heading say the same.
      const own = verdict.laps.filter((l) => l.session === s).map((l) => l.gapS);
      const stand = own.length > 0 ? summary(own) : standing(results, s);
      return stand ? [{ s, ...stand }] : [];
    });
  if (stands.length === 0) return null;
  const targets = results.campaign.targets.flatMap((t) => {
    const gapS = t.gapS ?? (t.lapTimeS !== null && referenceS !== null ? t.lapTimeS - referenceS : null);
    return gapS === null ? [] : [{ name: limitWords(gapS), due: t.due, gapS }];
  });
  const track = stands.filter((x) => x.s.stage === 'track' && !surfaceRemark(x.s));
  const [first, last] = [track[0] ?? stands[0]!, track.at(-1) ?? stands.at(-1)!];
  return figureOf(
    {
      id: 'descent',
      number: 1,
      title: 'How the gap came down',
      caption:
        first === last
          ? `${seconds(last.median, null, DIGITS)} on ${isoDate(last.s.date)}.`
          : `From ${seconds(first.median, null, DIGITS)} on ${isoDate(first.s.date)} to ${seconds(last.median, null, DIGITS)} on ${isoDate(last.s.date)}.`,
      key: 'Median gap by session with the range of its laps: circuit filled, rig square, simulation open. Dotted: targets as steps to be under by their dates.',
      source: [],
      table: {
        id: 'descent-data',
        caption: 'Gap by session',
        columns: [
          { title: 'session', kind: 'text' },
          { title: 'median', unit: 's', kind: 'number' },
          { title: 'least', unit: 's', kind: 'number' },
          { title: 'greatest', unit: 's', kind: 'number' },
        ],
        rows: stands.map(({ s, median, low, high }): Cell[] => [
          { text: s.session, href: sessionPath(s.session) },
          { text: signed(median, DIGITS) },
          { text: signed(low, DIGITS) },
          { text: signed(high, DIGITS) },
        ]),
        ...tableLinks(briefPath(id), 'descent'),
      },
      doubts: [],
    },
    (form, figure, name) =>
      descent(form.name === 'wide' ? FORM : form, figure, name, {
        stands: stands.map((x) => ({
          date: x.s.date,
          stage: x.s.stage,
          gapS: x.median,
          lowS: x.low,
          highS: x.high,
          ...(surfaceRemark(x.s) ? { remark: surfaceRemark(x.s) } : {}),
          ...(x === last || x === first ? { title: number(x.median, 1) } : {}),
        })),
        targets,
      }),
  );
}
