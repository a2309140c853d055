import type { CircuitView, SessionResult } from '../campaign/results.ts';
import { answers } from './answers.ts';
import { campaignMatrix, configurationTable } from './campaignMatrix.ts';
import { bridgeTo } from './causes/bridgeFigure.ts';
import { rankedCauses } from './causes/rankedCauses.ts';
import { cornerWords } from './cells.ts';
import { cornersNow } from './cornersNow.ts';
import { figureOf } from './figureOf.ts';
import { descent } from './figures/descent.ts';
import { lossMap } from './figures/lossMap.ts';
import { foundOn } from './findings/found.ts';
import { nextTable } from './findings/nextTable.ts';
import { progressSentences, trendWords } from './findings/progressWords.ts';
import { stepsOfCells } from './lap.ts';
import { losses, lossSentence, noLossWords } from './losses.ts';
import { medianSkyline } from './medianSkyline.ts';
import { asGaps, largestTable, medianCells } from './medians.ts';
import { milestonesTable } from './milestones/milestonesTable.ts';
import { latestSession } from './now.ts';
import { pageOf } from './pageOf.ts';
import { cornerPath, frontPath, problemsPath, progressPath, sessionPath, slug, tableLinks } from './paths.ts';
import { doubtsOf, problemList, stopWords } from './problemList.ts';
import type { Results } from './readResults.ts';
import type { Cell, Doubt, Figure, Page, Particulars, Piece, Table } from './report.ts';
import { robotDays } from './robotDays.ts';
import { daysSource, sessionSource } from './sources.ts';
import { standing } from './standing.ts';
import { summary } from './summary.ts';
import { surfaceRemark } from './surfaceRemark.ts';
import { rollups } from './tables/rollups.ts';
import {
  gapWords,
  isoDate,
  lapTime,
  listWords,
  MISSING,
  metres,
  number,
  percent,
  plural,
  seconds,
  sentence,
  signed,
} from './words.ts';

/** The front page of a campaign. */
export interface FrontReport extends Page {
  readonly kind: 'front';
  readonly doubts: readonly Doubt[];
  readonly figures: readonly Figure[];
  /** Sessions by corners; null where fewer than two sessions compare. */
  readonly history: Figure | null;
  /** By stage and configuration; null where nothing compares. */
  readonly configurations: Table | null;
  /** Whether the milestone will be met, what changed, plan or execution, safety; empty where nothing compares. */
  readonly answers: Particulars;
  /** Largest remaining losses by corner and cause, by phase where no lap was split; null where nothing compares. */
  readonly remaining: Table | null;
  /** What changed, whether it is real, and whether the next target will be met. */
  readonly progress: readonly (readonly Piece[])[];
  /** What stands there instead. */
  readonly nothingToFind: string;
  readonly sessions: Table;
  /** Null where none is written down. */
  readonly milestones: Table | null;
  /** Those that the table of sessions has no room for; null where it holds all. */
  readonly earlier: Table | null;
  /** One table a circuit. */
  readonly corners: readonly Table[];
  /** What should make a reader careful about the numbers. */
  readonly trust: readonly (readonly Piece[])[];
}

/** Losses that are listed. */
const MOST_REMAINING = 5;
/** Sessions that stand open on the page. */
const MOST_LISTED = 40;

/** Everything the front page says. */
export function frontReport(results: Results): FrontReport {
  const { campaign } = results;
  const now = latestSession(results);
  const circuit = now ? results.circuit(now.circuit) : campaign.circuits[0];
  const found = circuit ? foundOn(results, circuit.id) : undefined;
  const sum = now?.summary ?? null;
  const cells = sum?.cells ?? [];
  const gaps = asGaps(cells);
  const list = problemList(results);
  const doubts = now ? doubtsOf(list, now.session) : [];
  const source = now ? sessionSource(results, now) : [];
  const figures: Figure[] = [];

  const onIt = results.sessions.filter((s) => s.circuit === circuit?.id && s.rider.kind === 'robot');
  const stands = onIt.flatMap((session) => {
    const s = standing(results, session);
    return s ? [{ session, ...s }] : [];
  });
  if (stands.length > 0) figures.push(descentFigure());
  const middle = sum && results.lap(sum.medianLap);
  if (now?.reference && middle?.lap.causes)
    figures.push(
      bridgeTo(results, 'median lap', middle, middle.lap.causes, now.reference.timeS, {
        number: figures.length + 1,
        doubts,
        half: true,
      }),
    );
  if (now && circuit && cells.length > 0)
    figures.push(medianSkyline(results, now, circuit.lengthM, { number: figures.length + 1, source, doubts }));
  if (now && circuit && cells.length > 0)
    figures.push(
      figureOf(
        {
          id: 'loss-map',
          number: figures.length + 1,
          title: 'On the ground',
          caption: mapCaption(),
          key: 'Ribbon width = median seconds lost per 100\u202fm (warm) or gained (cool), phase by phase.',
          source,
          table: medianCells('skyline-data', now),
          tableElsewhere: true,
          doubts,
        },
        (form, id, name) => lossMap(form, id, name, { circuit, steps: stepsOfCells(gaps) }),
        true,
      ),
    );

  const rolled = rollups(results);
  const history = circuit ? campaignMatrix(results, rolled, circuit, figures.length + 1) : null;

  return {
    kind: 'front',
    ...pageOf(results, {
      path: frontPath,
      name: 'front page',
      kicker: [{ text: campaign.title }],
      headline: headline(),
      opening: opening(),
    }),
    doubts,
    figures,
    history,
    configurations: circuit ? configurationTable(rolled, circuit) : null,
    answers: now && circuit && sum?.medianGapS != null ? answers(results, now, circuit) : [],
    progress: progressSentences(results, circuit?.id ?? ''),
    remaining: now && cells.some((c) => c.medianGapS > 0) ? remaining(now) : null,
    nothingToFind: cells.length > 0 ? noLossWords(gaps) : 'No session compares with a reference lap yet.',
    milestones: milestonesTable(results),
    sessions: sessionsTable(0, MOST_LISTED),
    earlier: results.sessions.length > MOST_LISTED ? sessionsTable(MOST_LISTED, Number.POSITIVE_INFINITY) : null,
    corners: campaign.circuits.filter((c) => c.corners.length > 0).map((c) => cornersTable(results, c)),
    trust: trust(stopWords(list)),
  };

  function headline(): string {
    if (!now || !sum || sum.medianGapS === null) return 'No gap can be given yet';
    const digitsOfGap = 2;
    const range = standing(results, now);
    if (range && range.n > 1 && range.low < 0 && range.high > 0)
      return 'Level with the reference, as far as these laps can tell';
    return sum.medianGapS > 0
      ? `${sentence(seconds(sum.medianGapS, null, digitsOfGap))} to find`
      : sentence(gapWords(sum.medianGapS, null, digitsOfGap));
  }

  function opening(): string {
    if (!now || !sum || sum.medianGapS === null || !now.reference) return nothingYet(results);
    const noise = sum.laps > 1 && gaps.every((c) => c.gapS <= 0 || c.lowGapS < 0) && gaps.some((c) => c.gapS > 0);
    const share = percent(Math.abs(sum.medianGapS) / now.reference.timeS, 1);
    const side = sum.medianGapS < 0 ? 'ahead of' : 'off';
    const best =
      sum.bestGapS === null || sum.laps < 2 ? '' : `, best ${gapWords(sum.bestGapS, null, 2)}`.replace(' behind', '');
    const where =
      now.stage === 'track' ? '' : ` This is a ${now.stage} session; there is no track session to go by yet.`;
    return `${sum.laps > 1 ? 'Median flying lap' : 'One flying lap,'} ${lapTime(sum.medianS, 1)} on ${isoDate(now.date)}${surfaceRemark(now) ? `, on a ${surfaceRemark(now)} surface` : ''}, ${seconds(Math.abs(sum.medianGapS), null, 2)} (${share}) ${side} the reference lap of ${lapTime(now.reference.timeS, 1)}${best}, over ${plural(sum.laps, 'lap')}. ${noise ? 'No loss of a single phase can be told from noise.' : lossSentence(gaps)}${where}`;
  }

  /** One list of what is left to find now; how much of it stands over all sessions is a click away. */
  function remaining(session: SessionResult): Table {
    const table = rankedCauses(results, session, MOST_REMAINING, 'group') ?? largestTable(session, MOST_REMAINING);
    const onAll = found && nextTable(found, 1) ? [{ text: 'from all sessions together', href: progressPath }] : [];
    return { ...table, id: 'remaining', more: [...(table.more ?? []), ...onAll] };
  }

  function mapCaption(): string {
    const length = circuit?.lengthM ?? 1;
    const { largest, lostS } = losses(gaps);
    const some = (largest as (typeof gaps)[number][]).slice(0, 5);
    const s = some.reduce((t, c) => t + c.gapS, 0);
    const ground = some.reduce((t, c) => t + c.toM - c.fromM, 0);
    return lostS <= 0
      ? noLossWords(gaps)
      : `The ${some.length === 1 ? 'largest loss holds' : `${some.length} largest losses hold`} ${percent(s / lostS)} of what is lost, on ${percent(ground / length)} of the ground.`;
  }

  function descentFigure(): Figure {
    const reference = circuit?.reference?.timeS ?? now?.reference?.timeS ?? null;
    const targets = campaign.targets.flatMap((t) => {
      const gapS = t.gapS ?? (t.lapTimeS !== null && reference !== null ? t.lapTimeS - reference : null);
      return gapS === null ? [] : [{ name: t.name, due: t.due, gapS }];
    });
    const plain = stands.filter((s) => surfaceRemark(s.session) === '');
    const some = plain.length > 0 ? plain : stands;
    const first = some.find((s) => s.session.stage === 'track') ?? some[0]!;
    const last = (some.filter((s) => s.session.stage === first.session.stage).at(-1) ?? some.at(-1))!;
    const came = first.median - last.median;
    const at = (s: (typeof stands)[number]): string =>
      `${signed(s.median, 2).replace('+', '')}\u202fs on ${isoDate(s.session.date)} (${s.n > 1 ? `${signed(s.low, 2).replace('+', '')} to ${signed(s.high, 2).replace('+', '')} over ${plural(s.n, 'lap')}` : 'one lap'})`;
    const fan = found?.forecast.made?.fan ?? [];
    const trend = found ? trendWords(found.trend) : '';
    const caption =
      first === last
        ? `One ${first.session.stage} session so far: ${at(first)}.`
        : `From ${at(first)} to ${at(last)}: ${seconds(Math.abs(came), null, 2)} ${came >= 0 ? 'less' : 'more'} in the median.${trend ? ` ${trend}` : ''}`;
    return figureOf(
      {
        id: 'descent',
        number: figures.length + 1,
        title: 'How the gap came down',
        caption,
        key: `Median gap by session with the range of its laps: track filled, bench square, simulation open. Dotted: targets by their dates.${fan.length > 0 ? ' Fan: where a session’s median is foretold to lie, 80\u202f%.' : ''}`,
        source: daysSource(circuit ? robotDays(results, circuit.id) : []),
        table: {
          id: 'descent-data',
          caption: 'Gap by session',
          columns: [
            { title: 'session', kind: 'text' },
            { title: 'stage', kind: 'text' },
            { title: 'laps', kind: 'number' },
            { title: 'median', unit: 's', kind: 'number' },
            { title: 'least', unit: 's', kind: 'number' },
            { title: 'greatest', unit: 's', kind: 'number' },
          ],
          rows: stands.map((s): Cell[] => [
            { text: s.session.session, href: sessionPath(s.session.session) },
            { text: s.session.stage },
            { text: String(s.n) },
            { text: signed(s.median, 2) },
            { text: signed(s.low, 2) },
            { text: signed(s.high, 2) },
          ]),
          ...tableLinks(frontPath, 'descent'),
        },
        doubts: [],
      },
      (form, id, name) =>
        descent(form, id, name, {
          stands: stands.map((s) => ({
            date: s.session.date,
            stage: s.session.stage,
            gapS: s.median,
            lowS: s.low,
            highS: s.high,
            ...(surfaceRemark(s.session) ? { remark: surfaceRemark(s.session) } : {}),
            ...(s === last || s === first ? { title: signed(s.median, 1).replace('+', '') } : {}),
          })),
          targets,
          fan,
        }),
      true,
    );
  }

  /** The sessions, latest first, from one to before another. */
  function sessionsTable(from: number, to: number): Table {
    const problems = (id: string): number => list.filter((p) => p.session === id && p.severity !== 'note').length;
    return {
      id: from === 0 ? 'sessions-table' : 'earlier-table',
      caption:
        from > 0
          ? `The ${plural(results.sessions.length - from, 'session')} before those, latest first`
          : results.sessions.length > to
            ? `The latest ${to} of ${plural(results.sessions.length, 'session')}`
            : 'All sessions, latest first',
      columns: [
        { title: 'session', kind: 'text' },
        { title: 'stage', kind: 'text' },
        { title: 'rider', kind: 'text' },
        { title: 'laps', kind: 'number' },
        { title: 'counted', kind: 'number' },
        { title: 'median', kind: 'number' },
        { title: 'median gap', unit: 's', kind: 'number' },
        { title: 'problems', kind: 'number' },
      ],
      rows: [...results.sessions]
        .reverse()
        .slice(from, to)
        .map((s): Cell[] => {
          const range = s.rider.kind === 'robot' ? standing(results, s) : null;
          const n = problems(s.session);
          return [
            { text: s.session, href: sessionPath(s.session) },
            { text: s.stage },
            { text: `${s.rider.name}${s.controller ? ` ${s.controller}` : ''}` },
            { text: String(results.laps(s).length) },
            { text: String(s.summary?.laps ?? 0) },
            { text: lapTime(s.summary?.medianS, 1) },
            range
              ? {
                  text: signed(range.median, 2),
                  ...(range.n > 1 ? { aside: `${signed(range.low, 2)} to ${signed(range.high, 2)}` } : {}),
                }
              : { text: MISSING, tone: 'quiet' },
            n ? { text: String(n), href: `${problemsPath}#session-${slug(s.session)}` } : { text: '0', tone: 'quiet' },
          ];
        }),
      ...tableLinks(frontPath, 'sessions'),
      more: [
        { text: 'all laps, CSV', href: 'laps.csv' },
        { text: 'all ledgers, CSV', href: 'ledger.csv' },
      ],
    };
  }

  function trust(stops: readonly string[]): Piece[][] {
    const out: Piece[][] = [];
    if (stops.length > 0)
      out.push([
        { text: `${sentence(listWords(stops))}: ` },
        { text: 'see the list', href: problemsPath },
        { text: '.' },
      ]);
    if (now && doubts.length > 0)
      out.push([
        { text: `The latest session rests on doubtful input in ${plural(doubts.length, 'point')}: ` },
        ...doubts.slice(0, 3).map((d): Piece => ({ text: `${d.text} `, href: d.href })),
      ]);
    if (sum && sum.laps < 5)
      out.push([
        {
          text: `${sentence(plural(sum.laps, 'lap'))} ${sum.laps === 1 ? 'is' : 'are'} few: a median of so few laps moves by itself from day to day.`,
        },
      ]);
    const emulated = now?.runs.some((r) => r.emulated.length > 0);
    if (emulated)
      out.push([{ text: 'The latest session ran with emulated channels; its gap does not count towards a target.' }]);
    return out;
  }
}

/** Why there is no gap, and what a reader can do about it. */
function nothingYet(results: Results): string {
  const { sessions } = results;
  if (sessions.length === 0)
    return 'There is no session yet. A folder below the sessions with a `session.md` and a log makes one; `gapbook new session` writes the first lines.';
  const robots = sessions.filter((s) => s.rider.kind === 'robot');
  if (robots.length === 0)
    return `${sentence(plural(sessions.length, 'session'))} of the reference rider, none of the robot yet.`;
  const laps = robots.flatMap((s) => results.laps(s));
  const counted = laps.filter((l) => l.speaks);
  if (counted.length === 0) {
    const why = [...new Set(laps.flatMap((l) => l.lap.reasons.map((r) => r.text)))];
    return `${sentence(plural(laps.length, 'lap'))} of the robot, none counted${why.length ? `: ${listWords(why.slice(0, 3))}` : ''}. The page of each session lists what became of every lap.`;
  }
  const middle = summary(counted.flatMap((l) => (l.lap.timeS === null ? [] : [l.lap.timeS])));
  return `${sentence(plural(counted.length, 'counted lap'))}${middle ? `, median ${lapTime(middle.median, 1)}` : ''}, but no lap of the reference rider to compare with. \`reference\` in the campaign’s file names one.`;
}

/** The corners of a circuit with what each costs now. */
function cornersTable(results: Results, circuit: CircuitView): Table {
  const { session: now, of: sums } = cornersNow(results, circuit);
  const cut = now?.summary?.cells.find((c) => c.part === 'to gate')?.corner;
  return {
    id: `corners-${slug(circuit.id)}`,
    caption: `Corners of ${circuit.name}${now ? `, with what each cost in the median of ${now.session}` : ''}`,
    columns: [
      { title: 'corner', kind: 'text' },
      { title: 'bends', kind: 'text' },
      { title: 'radius', unit: 'm', kind: 'number' },
      { title: 'at', unit: 'm', kind: 'number' },
      { title: 'lost', unit: 's', kind: 'number' },
      { title: 'range', unit: 's', kind: 'number' },
    ],
    rows: circuit.corners.map((c): Cell[] => {
      const s = sums(c.name);
      return [
        { text: cornerWords(c.name), href: cornerPath(circuit.id, c.name) },
        { text: c.direction === 'both' ? 'both ways' : c.direction },
        { text: number(c.radiusM) },
        { text: metres(c.entryM).replace('\u202fm', '') },
        s
          ? { text: signed(s.median, 2), tone: s.low < 0 && s.high > 0 ? 'noise' : s.median > 0 ? 'loss' : 'gain' }
          : { text: MISSING, tone: 'quiet' },
        { text: s && s.n > 1 ? `${signed(s.low, 2)} to ${signed(s.high, 2)}` : '' },
      ];
    }),
    ...tableLinks(frontPath, `corners-${slug(circuit.id)}`),
    note: cut ? `The window of ${cornerWords(cut)} begins before the gate; what is lost there belongs to it.` : '',
  };
}
