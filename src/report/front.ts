import type { CircuitView, SessionResult } from '../campaign/results.ts';
import { cellWords, cornerWords } from './cells.ts';
import { figureOf } from './figureOf.ts';
import { descent } from './figures/descent.ts';
import { lossMap } from './figures/lossMap.ts';
import { skyline } from './figures/skyline.ts';
import { stepsOfCells } from './lap.ts';
import { losses, lossSentence } from './losses.ts';
import { asGaps, largestTable, MEDIAN_DIGITS, medianBlock, medianCells } from './medians.ts';
import { markdown } from './notes/markdown.ts';
import { pageOf } from './pageOf.ts';
import { cornerPath, frontPath, problemsPath, sessionPath, slug, tableFolder } from './paths.ts';
import { doubtsOf, problemList } from './problemList.ts';
import type { Results } from './readResults.ts';
import type { Cell, Doubt, Figure, Page, Piece, Table } from './report.ts';
import { summary } from './summary.ts';
import { gapWords, isoDate, lapTime, metres, number, percent, plural, seconds, sentence, signed } from './words.ts';

/** The front page of a campaign. */
export interface FrontReport extends Page {
  readonly kind: 'front';
  readonly doubts: readonly Doubt[];
  readonly figures: readonly Figure[];
  /** Largest remaining losses of the latest session; null where nothing compares. */
  readonly largest: Table | null;
  readonly sessions: Table;
  /** One table a circuit. */
  readonly corners: readonly Table[];
  readonly about: string;
  /** What should make a reader careful about the numbers. */
  readonly trust: readonly (readonly Piece[])[];
}

/** Median gap of a session with the range over its counted laps; null where it has none. */
export function standing(results: Results, session: SessionResult) {
  return summary(
    results
      .laps(session)
      .filter((l) => l.speaks)
      .map((l) => l.lap.gapS)
      .filter((gap) => gap !== null),
  );
}

/** The session that speaks for the campaign now: the latest on the track that compares, else the latest that compares. */
function latest(results: Results): SessionResult | null {
  const compared = results.sessions.filter(
    (s) => s.rider.kind === 'robot' && s.summary && s.summary.medianGapS !== null,
  );
  return compared.findLast((s) => s.stage === 'track') ?? compared.at(-1) ?? null;
}

/** Everything the front page says. */
export function frontReport(results: Results): FrontReport {
  const { campaign } = results;
  const now = latest(results);
  const circuit = now ? results.circuit(now.circuit) : campaign.circuits[0];
  const sum = now?.summary ?? null;
  const cells = sum?.cells ?? [];
  const digits = MEDIAN_DIGITS;
  const gaps = asGaps(cells);
  const list = problemList(results);
  const doubts = now ? doubtsOf(list, now.session) : [];
  const csv = now ? `${tableFolder(sessionPath(now.session))}/medians.csv` : 'ledger.csv';
  const json = now ? `results/${slug(now.session)}.json` : 'campaign.json';
  const source: Piece[] = now
    ? [
        { text: `${sentence(plural(sum?.laps ?? 0, 'counted lap'))} of ` },
        { text: now.session, href: sessionPath(now.session) },
        { text: `, ${now.runs.map((r) => `${r.file} (SHA-256 ${r.sha256.slice(0, 8)}…)`).join(', ')}` },
      ]
    : [];
  const figures: Figure[] = [];

  if (now && circuit && cells.length > 0) {
    const top = losses(gaps).largest[0] as (typeof gaps)[number] | undefined;
    figures.push(
      figureOf(
        {
          id: 'skyline',
          number: 1,
          title: 'Where the time goes',
          caption: top
            ? `${sentence(cellWords(top))} costs most, ${seconds(top.gapS, null, digits)} in the median${(sum?.laps ?? 0) > 1 ? ` (${number(top.lowGapS, digits)} to ${seconds(top.highGapS, null, digits)} over ${plural(sum?.laps ?? 0, 'lap')})` : ''}.`
            : 'Nothing is lost anywhere in the median.',
          key: 'Each block is one phase, as wide as it is long on the ground; its area is the time lost. Hair lines: the range over the laps.',
          source,
          table: medianCells('skyline-data', now, csv),
          doubts,
        },
        (form, id, name) =>
          skyline(form, id, name, { blocks: cells.map(medianBlock), lengthM: circuit.lengthM, digits }),
      ),
    );
  }
  const onIt = results.sessions.filter((s) => s.circuit === circuit?.id && s.rider.kind === 'robot');
  const stands = onIt.flatMap((session) => {
    const s = standing(results, session);
    return s ? [{ session, ...s }] : [];
  });
  if (stands.length > 0) figures.push(descentFigure());
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
          table: medianCells('map-data', now, csv),
          doubts,
        },
        (form, id, name) => lossMap(form, id, name, { circuit, steps: stepsOfCells(gaps) }),
        true,
      ),
    );

  const stopping = list.filter((p) => p.severity === 'stop' && p.accepted === null).length;
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
    largest: now && cells.length > 0 ? largestTable(now, 5, csv, json) : null,
    sessions: sessionsTable(),
    corners: campaign.circuits.filter((c) => c.corners.length > 0).map((c) => cornersTable(results, c)),
    about: campaign.about.trim() ? markdown(campaign.about, 'about-') : '',
    trust: trust(stopping),
  };

  function headline(): string {
    if (!now || !sum || sum.medianGapS === null) return 'No gap can be given yet';
    const digitsOfGap = 2;
    return sum.medianGapS > 0
      ? `${sentence(seconds(sum.medianGapS, null, digitsOfGap))} to find`
      : sentence(gapWords(sum.medianGapS, null, digitsOfGap));
  }

  function opening(): string {
    if (!now || !sum || sum.medianGapS === null || !now.reference)
      return results.sessions.length === 0
        ? 'There is no session yet.'
        : 'No counted lap of the robot could be compared with a reference lap; the sessions and the problems below say why.';
    const share = percent(Math.abs(sum.medianGapS) / now.reference.timeS, 1);
    const side = sum.medianGapS < 0 ? 'ahead of' : 'off';
    const best =
      sum.bestGapS === null || sum.laps < 2 ? '' : `, best ${gapWords(sum.bestGapS, null, 2)}`.replace(' behind', '');
    const where =
      now.stage === 'track' ? '' : ` This is a ${now.stage} session; there is no track session to go by yet.`;
    return `${sum.laps > 1 ? 'Median flying lap' : 'One flying lap,'} ${lapTime(sum.medianS, 1)} on ${isoDate(now.date)}, ${seconds(Math.abs(sum.medianGapS), null, 2)} (${share}) ${side} the reference lap of ${lapTime(now.reference.timeS, 1)}${best}, over ${plural(sum.laps, 'lap')}. ${lossSentence(gaps)}${where}`;
  }

  function mapCaption(): string {
    const length = circuit?.lengthM ?? 1;
    const { largest, lostS } = losses(gaps);
    const some = (largest as (typeof gaps)[number][]).slice(0, 5);
    const s = some.reduce((t, c) => t + c.gapS, 0);
    const ground = some.reduce((t, c) => t + c.toM - c.fromM, 0);
    return lostS <= 0
      ? 'Nothing is lost anywhere in the median.'
      : `The ${some.length === 1 ? 'largest loss holds' : `${some.length} largest losses hold`} ${percent(s / lostS)} of what is lost, on ${percent(ground / length)} of the ground.`;
  }

  function descentFigure(): Figure {
    const reference = circuit?.reference?.timeS ?? now?.reference?.timeS ?? null;
    const targets = campaign.targets.flatMap((t) => {
      const gapS = t.gapS ?? (t.lapTimeS !== null && reference !== null ? t.lapTimeS - reference : null);
      return gapS === null ? [] : [{ name: t.name, due: t.due, gapS }];
    });
    const first = stands.find((s) => s.session.stage === 'track') ?? stands[0]!;
    const last = (stands.filter((s) => s.session.stage === first.session.stage).at(-1) ?? stands.at(-1))!;
    const came = first.median - last.median;
    const open = targets
      .filter((t) => t.gapS < last.median && t.due !== null)
      .sort((a, b) => (a.due! < b.due! ? -1 : 1))[0];
    const toGo = open
      ? ` ${sentence(seconds(last.median - open.gapS, null, 2))} remain to “${open.name}”, due ${open.due}.`
      : '';
    const caption =
      first === last
        ? `One ${first.session.stage} session so far, at ${seconds(first.median, null, 2)}.${toGo}`
        : `From ${seconds(first.median, null, 2)} on ${isoDate(first.session.date)} to ${seconds(last.median, null, 2)} on ${isoDate(last.session.date)}: ${seconds(Math.abs(came), null, 2)} ${came >= 0 ? 'less' : 'more'} in the median (${first.n} and ${plural(last.n, 'lap')}).${toGo}`;
    return figureOf(
      {
        id: 'descent',
        number: figures.length + 1,
        title: 'How the gap came down',
        caption,
        key: 'Median gap by session: track filled, bench square, simulation open; lines are the range over the counted laps. Dotted: targets as steps to be under by their dates.',
        source: [{ text: `${plural(stands.length, 'session')} on ${circuit?.name ?? ''}` }],
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
          csv: 'tables/index/descent.csv',
          json: 'campaign.json',
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
            ...(s === last || s === first ? { title: signed(s.median, 1).replace('+', '') } : {}),
          })),
          targets,
        }),
      true,
    );
  }

  function sessionsTable(): Table {
    const problems = (id: string): number => list.filter((p) => p.session === id && p.severity !== 'note').length;
    return {
      id: 'sessions-table',
      caption: 'All sessions, latest first',
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
      rows: [...results.sessions].reverse().map((s): Cell[] => {
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
            : { text: '–', tone: 'quiet' },
          n ? { text: String(n), href: `${problemsPath}#session-${slug(s.session)}` } : { text: '0', tone: 'quiet' },
        ];
      }),
      csv: 'laps.csv',
      json: 'campaign.json',
    };
  }

  function trust(stops: number): Piece[][] {
    const out: Piece[][] = [];
    if (stops > 0)
      out.push([
        { text: `${sentence(plural(stops, 'problem'))} of the input kept something out of this report: ` },
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

/** The corners of a circuit with what each costs now. */
function cornersTable(results: Results, circuit: CircuitView): Table {
  const now =
    results.sessions.findLast(
      (s) =>
        s.circuit === circuit.id &&
        s.rider.kind === 'robot' &&
        (s.summary?.cells.length ?? 0) > 0 &&
        s.stage === 'track',
    ) ??
    results.sessions.findLast(
      (s) => s.circuit === circuit.id && s.rider.kind === 'robot' && (s.summary?.cells.length ?? 0) > 0,
    );
  const sums = (corner: string) =>
    summary(
      now
        ? results
            .laps(now)
            .filter((l) => l.speaks)
            .map((l) => l.lap.ledger.filter((c) => c.corner === corner).reduce((s, c) => s + c.gapS, 0))
        : [],
    );
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
        s ? { text: signed(s.median, 2), tone: s.median > 0 ? 'loss' : 'gain' } : { text: '–', tone: 'quiet' },
        { text: s && s.n > 1 ? `${signed(s.low, 2)} to ${signed(s.high, 2)}` : '' },
      ];
    }),
    csv: 'ledger.csv',
    json: 'campaign.json',
  };
}
