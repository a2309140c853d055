import type { Milestone } from '../../campaign/results.ts';
import { bridgeTo } from '../causes/bridgeFigure.ts';
import { figureOf } from '../figureOf.ts';
import { verdictFigure } from '../figures/verdictFigure.ts';
import { medianSkyline } from '../medianSkyline.ts';
import { type NotePart, partsOf } from '../noteParts.ts';
import { milestoneNotes } from '../notes/note.ts';
import { pageOf } from '../pageOf.ts';
import { briefPath, methodPath, milestonePath, sessionPath } from '../paths.ts';
import { problemList } from '../problemList.ts';
import type { Results } from '../readResults.ts';
import type { Figure, Page, Particulars, Piece } from '../report.ts';
import { sessionSource } from '../sources.ts';
import { number, percent, plural, seconds } from '../words.ts';
import { conditionsOf } from './conditions.ts';
import { limitsOf } from './limits.ts';
import { medianOfLaps } from './medianOfLaps.ts';
import { type MilestoneTables, milestoneTables } from './milestoneTables.ts';
import { type Outlook, outlook } from './outlook.ts';
import { type EvidenceLap, type Verdict, verdictOf } from './verdict.ts';
import { chanceWords, DIGITS, levelWords, limitWords, verdictHeadline, verdictOpening, verdictWord } from './words.ts';

/** The page of a milestone. */
export interface MilestoneReport extends Page, MilestoneTables {
  readonly kind: 'milestone';
  readonly brief: Piece & { readonly href: string };
  /** Site paths of what the milestone stands on, in the order of one document. */
  readonly parts: readonly string[];
  readonly particulars: Particulars;
  readonly figures: readonly Figure[];
  readonly notes: readonly NotePart[];
  readonly limits: readonly (string | readonly NotePart[])[];
  readonly decisions: readonly (readonly NotePart[])[];
  readonly risks: readonly (readonly NotePart[])[];
  /** What is to be expected of the target, in a paragraph; empty where there is nothing to say. */
  readonly outlook: string;
  /** Against the milestone before, in a sentence; empty where there is none. */
  readonly against: string;
  readonly signatures: Milestone['signatures'];
  readonly before: Piece | null;
  readonly after: Piece | null;
}

/** A milestone with the one before it, judged. */
export function judged(results: Results, id: string): { verdict: Verdict; previous: Verdict | null } {
  const { milestones } = results.campaign;
  const at = milestones.findIndex((m) => m.id === id);
  const [own, before] = [milestones[at], milestones[at - 1]];
  if (!own) throw new Error(`no milestone ${id}`);
  return { verdict: verdictOf(results, own), previous: before ? verdictOf(results, before) : null };
}

/** Everything the page of a milestone says. */
export function milestoneReport(results: Results, id: string): MilestoneReport {
  const { milestones } = results.campaign;
  const at = milestones.findIndex((m) => m.id === id);
  const { verdict, previous } = judged(results, id);
  const { milestone } = verdict;
  const path = milestonePath(id);
  const median = medianOfLaps(verdict);
  const tables = milestoneTables(results, verdict, median, previous);
  const failed = conditionsOf(verdict).filter((c) => !c.met);
  const notes = milestoneNotes(results, milestone);
  const parts = (of: string): NotePart[][] =>
    notes.filter((n) => n.id.startsWith(`${of}-`)).map((n) => partsOf(results, n));
  const link = (other: Milestone | undefined): Piece | null =>
    other ? { text: other.title, href: milestonePath(other.id) } : null;
  const figures: Figure[] = [];
  const { level, limitS, conformity } = verdict;
  if (tables.verdict && limitS !== null && level) {
    figures.push(
      figureOf(
        {
          id: 'verdict',
          number: 1,
          title: 'Target and evidence',
          caption: conformity
            ? `${verdictWord(conformity.verdict)}: the level of the laps is ${levelWords(verdict)}, the target ${limitWords(limitS)}.`
            : `The level of the laps is ${levelWords(verdict)}.`,
          key: `Ticks: laps. Disc: their level with its 90\u202f% interval. Shaded beside the target: the guard band, inside which a pass would be false more often than ${percent(milestone.risk)} of the time.`,
          source: median ? sessionSource(results, median) : [],
          table: tables.verdict,
          doubts: [],
        },
        (form, _, name) =>
          verdictFigure(form, name, {
            rows: rowsOf(verdict),
            level: { value: level.value, ...verdict.interval! },
            limitS,
            acceptanceS: conformity?.acceptance ?? limitS,
          }),
      ),
    );
  }
  const lengthM = verdict.circuit?.lengthM;
  if (median && tables.skyline && lengthM !== undefined)
    // The laps of the evidence speak for the session.
    figures.push(
      medianSkyline({ ...results, laps: () => verdict.laps }, median, lengthM, {
        number: figures.length + 1,
        source: sessionSource(results, median),
        table: tables.skyline,
        doubts: [],
      }),
    );
  figures.push(...bridges(results, verdict, figures.length + 1));
  const unmet = failed.length
    ? ` ${failed.length === 1 ? 'One condition is' : `${failed.length} conditions are`} not kept: ${failed.map((c) => c.asked).join('; ')}.`
    : '';
  return {
    kind: 'milestone',
    ...pageOf(results, {
      path,
      name: milestone.title,
      kicker: [{ text: `Milestone “${milestone.title}”, reviewed ${milestone.date}` }],
      headline: verdictHeadline(verdict),
      opening: `${verdictOpening(verdict)}${unmet}`,
    }),
    ...tables,
    brief: { text: 'The same on one page', href: briefPath(id) },
    parts: documentParts(verdict, path),
    particulars: particulars(verdict),
    figures,
    notes: notes.filter((n) => n.body).flatMap((n) => partsOf(results, n, figures.length + 1)),
    limits: [...limitsOf(results, problemList(results), verdict), ...parts('limits')],
    decisions: parts('decisions'),
    risks: parts('risks'),
    outlook: outlookWords(
      outlook(results, {
        circuit: verdict.session?.circuit ?? '',
        due: milestone.target.due,
        limitS,
        until: milestone.date,
      }),
      verdict,
    ),
    against: againstWords(verdict, previous),
    signatures: milestone.signatures,
    before: link(milestones[at - 1]),
    after: link(milestones[at + 1]),
  };
}

/** The lap in the middle of the evidence, of an even number the faster of the two, and the best one. */
function namedLaps({ laps }: Verdict): { readonly median: EvidenceLap; readonly best: EvidenceLap } | null {
  const ordered = laps.toSorted((a, b) => a.gapS - b.gapS);
  const [best, median] = [ordered[0], ordered[(ordered.length - 1) >> 1]];
  return best && median ? { median, best } : null;
}

/** The way to the median lap of the evidence and to its best one by cause; one figure where they are the same lap. */
function bridges(results: Results, verdict: Verdict, numberedFrom: number): Figure[] {
  const named = namedLaps(verdict);
  const { referenceS } = verdict;
  if (!named || referenceS === null) return [];
  const shown = [
    { called: 'median lap', of: named.median } as const,
    ...(named.best === named.median ? [] : [{ called: 'best lap', of: named.best } as const]),
  ].filter(({ of }) => of.lap.causes);
  return shown.map(({ called, of }, i) =>
    bridgeTo(results, called, of, of.lap.causes!, referenceS, {
      id: `bridge-${called.split(' ')[0]}`,
      number: numberedFrom + i,
      doubts: [],
      half: shown.length > 1,
    }),
  );
}

/** Brief, milestone, sessions of the evidence, the lap in the middle and the best one, method. */
function documentParts(verdict: Verdict, path: string): string[] {
  const { laps, milestone } = verdict;
  const sessions = [...new Set(laps.map((l) => l.session.session))];
  const named = namedLaps(verdict);
  const shown = [named?.median, named?.best].flatMap((l) => (l?.page ? [l.page] : []));
  return [briefPath(milestone.id), path, ...sessions.map(sessionPath), ...new Set(shown), methodPath];
}

/** A row of ticks for each run. */
export function rowsOf({ laps }: Verdict): { title: string; gaps: number[] }[] {
  const rows = new Map<string, number[]>();
  const sessions = new Set(laps.map((l) => l.session.session)).size;
  for (const { session, run, gapS } of laps) {
    const file = run.file.replace(/^.*\//, '').replace(/\.[A-Za-z0-9.]+$/, '');
    const title = sessions > 1 ? `${session.date} ${file}` : file;
    rows.set(title, [...(rows.get(title) ?? []), gapS]);
  }
  return [...rows].map(([title, gaps]) => ({ title, gaps }));
}

function particulars(verdict: Verdict): Particulars {
  const { milestone, limitS, level, conformity, referenceS, laps } = verdict;
  const due = milestone.target.due;
  const best = Math.min(...laps.map((l) => l.gapS));
  const rows: [string, string][] = [
    [
      'Target',
      `${limitWords(limitS)} behind the reference${milestone.target.lapTimeS !== null && referenceS !== null ? `, from a lap time of ${number(milestone.target.lapTimeS, 3)}\u202fs` : ''}${due ? `, by ${due}` : ''}`,
    ],
    [
      'Achieved',
      level
        ? `${levelWords(verdict)}, 90\u202f%, over ${plural(level.laps, 'lap')} of ${plural(level.days, 'day')}`
        : '–',
    ],
    ...(laps.length > 0
      ? ([['Best lap', `${number(best, DIGITS)}\u202fs, which is no proof of anything`]] as [string, string][])
      : []),
    ...(conformity && level
      ? ([
          [
            'Uncertainty',
            `${seconds(level.standardError, null, 3)}, one standard deviation, ${number(level.df, level.df < 10 ? 1 : 0)} degrees of freedom`,
          ],
          [
            'Rule',
            `Guarded acceptance: met at ${seconds(conformity.acceptance, null, DIGITS)} or less, the target less a guard band of ${seconds(conformity.guard, null, DIGITS)}`,
          ],
          [
            'Risk',
            `${percent(milestone.risk, milestone.risk < 0.01 ? 1 : 0)} of passes may be false; to call this a pass would be false with a chance of ${chanceWords(1 - conformity.chance)}`,
          ],
          ['Chance inside', chanceWords(conformity.chance)],
        ] as [string, string][])
      : []),
  ];
  return rows.map(([term, text]) => [term, [{ text }]]);
}

function againstWords(now: Verdict, before: Verdict | null): string {
  if (!before?.level || !now.level) return '';
  const change = now.level.value - before.level.value;
  return `Since “${before.milestone.title}” on ${before.milestone.date} the level came ${change <= 0 ? 'down' : 'up'} by ${seconds(Math.abs(change), null, DIGITS)}, from ${seconds(before.level.value, null, DIGITS)} to ${seconds(now.level.value, null, DIGITS)}.`;
}

/** What a forecast says, in sentences. */
export function outlookWords(found: Outlook | null, { milestone, limitS }: Verdict): string {
  const { due } = milestone.target;
  if (due === null || due <= milestone.date) return '';
  if (!found)
    return `The sessions are of too few weeks to say how likely the target of ${limitWords(limitS)} is by ${due}.`;
  const { record } = found;
  const past =
    record.forecasts === 0
      ? ''
      : ` Of ${plural(record.forecasts, 'forecast')} made in this way from earlier sessions, ${percent(record.held)} held what came.`;
  return `A session on ${due} would have a median of at most ${limitWords(limitS)} with a chance of ${chanceWords(found.chance)}, if things go on as they did over ${plural(found.sessions, 'session')}: ${seconds(found.medianS, null, DIGITS)} is to be expected, ${number(found.lowS, DIGITS)} to ${seconds(found.highS, null, DIGITS)} in four cases of five.${past}`;
}
