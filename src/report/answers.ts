import type { CircuitView, SessionResult } from '../campaign/results.ts';
import { weekOf } from '../read/isoWeek.ts';
import { beforeOf, foundOf, foundOn } from './findings/found.ts';
import { chanceSentence } from './findings/progressWords.ts';
import { changeWords, SAME, shortVerdict } from './findings/verdictWords.ts';
import { cornersWords } from './losses.ts';
import { MEDIAN_DIGITS } from './medians.ts';
import { interventions } from './milestones/interventions.ts';
import { milestonePath, problemsPath, progressPath, weekPath } from './paths.ts';
import { problemList, stopWords } from './problemList.ts';
import type { Results } from './readResults.ts';
import type { Particulars, Piece } from './report.ts';
import { gapWords, listWords, lossWords, number, plural, seconds, sentence } from './words.ts';

/** Questions that a person in charge asks of the campaign and that need a sentence, no figure. */
export function answers(results: Results, now: SessionResult, circuit: CircuitView): Particulars {
  return [
    ['Next milestone', nextMilestone(results, now, circuit)],
    ['What changed', whatChanged(results, now)],
    ['Plan or execution', planOrExecution(results, now)],
    ['Safety and trust', [...safety(results), ...input(results)]],
  ];
}

/** Whether the next target will be met. */
function nextMilestone(results: Results, now: SessionResult, circuit: CircuitView): Piece[] {
  const { targets, milestones } = results.campaign;
  const found = foundOn(results, circuit.id);
  const [foretold] = found?.forecast.made?.targets ?? [];
  const gapOf = ({ gapS, lapTimeS }: (typeof targets)[number]): number | null =>
    gapS ?? (lapTimeS !== null && now.reference ? lapTimeS - now.reference.timeS : null);
  const open = targets
    .filter((t) => t.due !== null && t.due >= results.campaign.asOf)
    .toSorted((a, b) => (a.due! < b.due! ? -1 : 1))[0];
  const page = milestones.find(({ target }) => target.name !== null && target.name === (foretold ?? open)?.name);
  const link: Piece[] = page
    ? [{ text: ' ' }, { text: 'Its evidence so far', href: milestonePath(page.id) }, { text: '.' }]
    : [];
  if (found && foretold) return [{ text: chanceSentence(found) }, ...link];
  if (!open) return [{ text: 'No target has a date that is still to come.' }];
  const [limitS, gapS] = [gapOf(open), now.summary?.medianGapS ?? null];
  const left =
    limitS === null || gapS === null
      ? ''
      : gapS > limitS
        ? `${seconds(gapS - limitS, null, MEDIAN_DIGITS)} remain to it. `
        : 'The median lap is inside it. ';
  return [
    {
      text: `“${open.name}” is due on ${open.due}. ${left}${(found && chanceSentence(found)) || 'There is no forecast yet.'}`,
    },
    ...link,
  ];
}

/** Against the session before, and whether that is real. */
function whatChanged(results: Results, now: SessionResult): Piece[] {
  const week = weekPath(weekOf(now.date).name);
  const against = beforeOf(foundOf(results, now.session));
  if (!against)
    return [{ text: 'There is no session before ' }, { text: 'this week', href: week }, { text: ' to compare with.' }];
  const told = against.corners.filter((c) => c.verdict === 'real' || c.verdict === 'within these sessions only');
  const of = (sign: number): string[] => told.filter((c) => sign * (c.changeS ?? 0) > 0).map(({ corner }) => corner);
  const places = (corners: readonly string[]): string =>
    corners.length > MOST_CORNERS ? `${corners.length} corners` : cornersWords(corners);
  const where = [
    ...(of(-1).length > 0 ? [`less is lost in ${places(of(-1))}`] : []),
    ...(of(1).length > 0 ? [`more ${of(-1).length > 0 ? '' : 'is lost '}in ${places(of(1))}`] : []),
  ];
  const change = changeWords(against.lap.changeS);
  return [
    { text: 'The median', href: week },
    {
      text: ` is ${change} ${change === SAME ? 'as' : 'than'} in ${against.with[0]}: ${shortVerdict(against.lap)}.${where.length > 0 ? ' ' : ''}`,
    },
    ...(where.length > 0 ? [{ text: sentence(where.join(', ')), href: progressPath }, { text: '.' }] : []),
  ];
}

/** Corners that are named one by one. */
const MOST_CORNERS = 4;

/** Whether the plan or its execution costs more, on the median lap. */
function planOrExecution(results: Results, now: SessionResult): Piece[] {
  const middle = now.summary && results.lap(now.summary.medianLap);
  const { planS = null, executionS = null } = middle?.lap ?? {};
  if (planS === null || executionS === null) return [{ text: 'The logs hold no plan, so that this cannot be told.' }];
  const lead = Math.abs(planS) >= Math.abs(executionS) ? 'More the plan' : 'More its execution';
  return [
    { text: `${lead}. ` },
    { text: 'The median lap', ...(middle?.page ? { href: middle.page } : {}) },
    {
      text: `, ridden as planned, would be ${gapWords(planS, null, MEDIAN_DIGITS)}; in execution ${lossWords(executionS, null, MEDIAN_DIGITS)} against the plan.`,
    },
  ];
}

/** Interventions and open incidents on the circuit since the start. */
function safety(results: Results): Piece[] {
  const hands = interventions(results, '', '9999');
  if (!hands) return [{ text: 'The robot has not been on the circuit yet. ' }];
  return [
    {
      text: `${number(hands.rate, 1)} interventions per 100\u202fkm (90\u202f% interval ${number(hands.low, 1)} to ${number(hands.high, 1)}; ${hands.count} in ${number(hands.distanceM / 1000)}\u202fkm). ${sentence(plural(hands.open, 'incident'))} ${hands.open === 1 ? 'is' : 'are'} open. `,
    },
  ];
}

/** What of the input should make a reader careful. */
function input(results: Results): Piece[] {
  const open = problemList(results).filter((p) => p.accepted === null && p.severity !== 'note');
  if (open.length === 0) return [{ text: 'No problem of the input is open.' }];
  const stops = open.filter((p) => p.severity === 'stop').length;
  const parts = [
    ...stopWords(open),
    ...(open.length > stops
      ? [
          `${plural(open.length - stops, 'warning')} about the input ${open.length - stops === 1 ? 'is' : 'are'} not accepted`,
        ]
      : []),
  ];
  return [{ text: sentence(listWords(parts)), href: problemsPath }, { text: '.' }];
}
