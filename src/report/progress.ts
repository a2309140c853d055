import type { CircuitFindings } from '../campaign/findings/schema.ts';
import { foundOf } from './findings/found.ts';
import { chanceWords, nextByCauseTable, nextTable } from './findings/nextTable.ts';
import { chanceSentence, trendWords } from './findings/progressWords.ts';
import { stepPlace, stepVersion } from './findings/stepWords.ts';
import {
  changeCell,
  confounderWords,
  detectableCell,
  intervalWords,
  lossCell,
  VERDICT_NOTE,
  verdictCell,
} from './findings/verdictWords.ts';
import { pageOf } from './pageOf.ts';
import { cornerPath, progressPath, sessionPath, slug, tableLinks } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Cell, Page, Table } from './report.ts';
import { MISSING, number, percent, plural, seconds, sentence, signed } from './words.ts';

/** The page of progress: version by version, what next, forecast. */
export interface ProgressReport extends Page {
  readonly kind: 'progress';
  readonly circuits: readonly CircuitProgress[];
}

interface CircuitProgress {
  readonly id: string;
  readonly name: string;
  readonly versions: Table;
  readonly stepWords: string;
  readonly steps: Table | null;
  readonly next: Table | null;
  readonly nextByCause: Table | null;
  readonly transfer: string;
  readonly forecastWords: readonly string[];
  readonly targets: Table | null;
  readonly fan: Table | null;
}

/** Rows of the list of what to do next. */
const MOST_NEXT = 12;

/** Everything the page of progress says. */
export function progressReport(results: Results): ProgressReport {
  const circuits = results.campaign.findings.circuits;
  const main = circuits.toSorted((a, b) => b.progress.length - a.progress.length)[0];
  return {
    kind: 'progress',
    ...pageOf(results, {
      path: progressPath,
      name: 'progress',
      kicker: [{ text: 'Real or noise, what next, will it be reached' }],
      headline: headline(main),
      opening: main
        ? [trendWords(main.trend), chanceSentence(main), stepSentence(main)].filter(Boolean).join(' ')
        : 'No session of the robot compares with a reference lap yet.',
    }),
    circuits: circuits.map((found) => circuitProgress(results, found)),
  };
}

function headline(found: CircuitFindings | undefined): string {
  if (!found || found.trend.verdict === 'too few') return 'Too few sessions to speak of progress';
  if (found.trend.verdict === 'cannot tell') return 'No progress that could be told from noise';
  return found.trend.verdict === 'falls' ? 'The gap is coming down' : 'The gap is growing';
}

function stepSentence({ steps, stepSessions }: CircuitFindings): string {
  if (stepSessions < 6)
    return `Steps at new versions are looked for from six sessions on; there ${stepSessions === 1 ? 'is one' : `are ${stepSessions}`}.`;
  const known = steps.filter((s) => s.known).length;
  if (steps.length === 0)
    return `In ${plural(stepSessions, 'session')} no version made a step that smooth learning does not explain as well.`;
  return `${sentence(plural(known, 'step'))} at new versions and ${steps.length - known} without a known cause stand out of smooth learning in ${plural(stepSessions, 'session')}.`;
}

function circuitProgress(results: Results, found: CircuitFindings): CircuitProgress {
  const { transfer } = found;
  return {
    id: slug(found.circuit),
    name: results.circuit(found.circuit)?.name ?? found.circuit,
    versions: versionsTable(results, found),
    stepWords: `${stepSentence(found)} The lap, its corners, phases and causes are all looked at, with one chance of a false alarm for all: of campaigns without a step, one in twenty at most shows any at a new version, and one in twenty any elsewhere.`,
    steps: found.steps.length > 0 ? stepsTable(found) : null,
    next: nextTable(found, MOST_NEXT),
    nextByCause: nextByCauseTable(found, MOST_NEXT),
    transfer:
      transfer === null
        ? 'What share of a gain in simulation arrives on the track is not known: it takes two sessions in simulation with track sessions after both.'
        : `Of ${plural(transfer.changes, 'gain')} that simulation showed in single corners from one session to the next, ${transfer.arrived} were followed by a gain on the track; in all ${percent(transfer.share)} of the seconds arrived (standard deviation ${percent(transfer.sd)}).${transfer.share > 1 ? ' More than all: the track gained by other means as well, so simulation does not limit what is left.' : ''}`,
    forecastWords: forecastWords(found),
    targets: targetsTable(found),
    fan: fanTable(found),
  };
}

/** Each session that speaks for the robot on the track, with what changed since the one before. */
function versionsTable(results: Results, found: CircuitFindings): Table {
  const rows = found.progress
    .flatMap((id) => {
      const session = results.session(id);
      const own = foundOf(results, id);
      return session && own ? [{ session, own }] : [];
    })
    .reverse()
    .map(({ session, own }): Cell[] => {
      const before = own.against.find(({ kind }) => kind === 'session before');
      const from = before && results.session(before.with[0]!)?.controller;
      return [
        { text: session.session, href: sessionPath(session.session) },
        {
          text: session.controller ?? MISSING,
          ...(from && from !== session.controller ? { aside: `after ${from}` } : {}),
        },
        { text: String(own.lap.laps) },
        lossCell(own.lap),
        before ? changeCell(before.lap) : { text: MISSING, tone: 'quiet' },
        before ? verdictCell(before.lap) : { text: 'nothing before it', tone: 'quiet' },
        before ? detectableCell(before.lap) : { text: '' },
        { text: before ? confounderWords(before.confounders) : '' },
      ];
    });
  return {
    id: `versions-${slug(found.circuit)}`,
    caption: 'Session by session on the track, latest first: what changed, and what else may be the reason',
    columns: [
      { title: 'session', kind: 'text' },
      { title: 'version', kind: 'text' },
      { title: 'laps', kind: 'number' },
      { title: 'gap', unit: 's', kind: 'number' },
      { title: 'change', unit: 's', kind: 'number' },
      { title: 'changed?', kind: 'text' },
      { title: 'would be seen', unit: 's', kind: 'number' },
      { title: 'what else changed', kind: 'text' },
    ],
    rows,
    note: VERDICT_NOTE,
    ...tableLinks(progressPath, `versions-${slug(found.circuit)}`),
  };
}

function stepsTable(found: CircuitFindings): Table {
  return {
    id: `steps-${slug(found.circuit)}`,
    caption: 'Steps that smooth learning does not explain',
    columns: [
      { title: 'where', kind: 'text' },
      { title: 'at', kind: 'text' },
      { title: 'version', kind: 'text' },
      { title: 'step', unit: 's', kind: 'number' },
      { title: 'chance', kind: 'number' },
      { title: 'not ruled out', kind: 'text' },
    ],
    rows: found.steps.map((step): Cell[] => [
      {
        text: stepPlace(step),
        ...(step.corner === null ? {} : { href: cornerPath(found.circuit, step.corner) }),
      },
      { text: step.session, href: sessionPath(step.session) },
      { text: stepVersion(step) },
      {
        text: signed(step.sizeS, 2),
        tone: step.sizeS > 0 ? 'loss' : 'gain',
        aside: intervalWords({ lowS: step.lowS, highS: step.highS, level: step.level }),
      },
      { text: percent(step.q, 1) },
      { text: confounderWords(step.confounders) || 'nothing noted' },
    ]),
    note: 'Chance: of a step at least as clear where there is none, among all that were looked at.',
    ...tableLinks(progressPath, `steps-${slug(found.circuit)}`),
  };
}

const FAMILY = {
  exponential: 'exponential curve',
  power: 'power law',
  line: 'straight line',
  level: 'level that wanders',
  relative: 'fall by shares of what is left',
} as Readonly<Record<string, string>>;

function forecastWords(found: CircuitFindings): string[] {
  const { made } = found.forecast;
  if (!made) return [chanceSentence(found)].filter(Boolean);
  const mixed = Object.entries(made.weights)
    .toSorted((a, b) => b[1] - a[1])
    .map(([family, weight]) => `${FAMILY[family] ?? family} ${percent(weight)}`)
    .join(', ');
  const { forecasts, held, scoreS, persistenceScoreS } = made.record;
  return [
    `From ${plural(found.forecast.sessions, 'session')} in ${plural(found.forecast.effectiveWeeks, 'week')} on the track. Curves are mixed by how well each foretold the sessions so far: ${mixed}. The interval is that of the median of a session, not of the curve.`,
    ...(made.jumps.length > 0
      ? [`Steps at ${made.jumps.map(({ session }) => session).join(' and ')} are taken as jumps, not as learning.`]
      : []),
    forecasts > 0 && held !== null && scoreS !== null && persistenceScoreS !== null
      ? `Its own record in this campaign: of ${plural(forecasts, 'earlier forecast')} ${percent(held)} held the value (80\u202f% are meant to). Interval score ${seconds(scoreS, null, 1)}; taking the last value instead, ${seconds(persistenceScoreS, null, 1)} (less is better).`
      : 'It has no record in this campaign yet.',
  ];
}

function targetsTable(found: CircuitFindings): Table | null {
  const targets = found.forecast.made?.targets ?? [];
  if (targets.length === 0) return null;
  return {
    id: `targets-${slug(found.circuit)}`,
    caption: 'Targets to come, with the probability that a session on that day reaches them',
    columns: [
      { title: 'target', kind: 'text' },
      { title: 'due', kind: 'text' },
      { title: 'gap', unit: 's', kind: 'number' },
      { title: 'probability', kind: 'number' },
      { title: 'foretold', unit: 's', kind: 'number' },
    ],
    rows: targets.map((t): Cell[] => [
      { text: t.name },
      { text: t.due },
      { text: number(t.gapS, 2) },
      { text: chanceWords(t.probability), tone: 'strong' },
      { text: number(t.medianS, 1), aside: `${number(t.lowS, 1)} to ${number(t.highS, 1)} (80\u202f%)` },
    ]),
    ...tableLinks(progressPath, `targets-${slug(found.circuit)}`),
  };
}

function fanTable(found: CircuitFindings): Table | null {
  const { made } = found.forecast;
  if (!made) return null;
  return {
    id: `fan-${slug(found.circuit)}`,
    caption: 'Foretold median gap of a session, week by week',
    columns: [
      { title: 'date', kind: 'text' },
      { title: 'middle', unit: 's', kind: 'number' },
      { title: 'from', unit: 's', kind: 'number' },
      { title: 'to', unit: 's', kind: 'number' },
      { title: 'interval', kind: 'number' },
    ],
    rows: made.fan.map((f): Cell[] => [
      { text: f.date },
      { text: number(f.medianS, 1) },
      { text: number(f.lowS, 1) },
      { text: number(f.highS, 1) },
      { text: percent(f.level) },
    ]),
    ...tableLinks(progressPath, `fan-${slug(found.circuit)}`),
  };
}
