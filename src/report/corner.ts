import type { CircuitView, MapCorner } from '../campaign/results.ts';
import { cornerWords, PHASES } from './cells.ts';
import { type CornerEvents, eventsOfLaps, eventsOfReference, onLap } from './cornerEvents.ts';
import { figureOf } from './figureOf.ts';
import { cornerPlan, type EventPlaces } from './figures/cornerPlan.ts';
import { cornerTrend } from './figures/cornerTrend.ts';
import { EVENTS, type MarkRow, techniqueMarks } from './figures/techniqueMarks.ts';
import { type CornerVerdicts, cornerVerdicts } from './findings/cornerFindings.ts';
import { latestOf } from './now.ts';
import { pageOf } from './pageOf.ts';
import { cornerPath, sessionPath, tableLinks } from './paths.ts';
import { doubtsOf, problemList } from './problemList.ts';
import type { LapOf, Results } from './readResults.ts';
import type { Cell, Doubt, Figure, Page, Particulars, Piece, Table } from './report.ts';
import { robotDays } from './robotDays.ts';
import { daysSource, sessionSource } from './sources.ts';
import { summary } from './summary.ts';
import { MEASURES, measureCell, referenceOf, stationDifference } from './techniqueTable.ts';
import {
  isoDate,
  kmhNumber,
  listWords,
  MISSING,
  metres,
  metresNumber,
  plural,
  seconds,
  sentence,
  signed,
  speedText,
} from './words.ts';

/** The page of one corner over the campaign. */
export interface CornerReport extends Page {
  readonly kind: 'corner';
  readonly doubts: readonly Doubt[];
  readonly particulars: Particulars;
  /** The corner from above; null where no event is known. */
  readonly plan: Figure | null;
  readonly figures: readonly Figure[];
  readonly sessions: Table;
  /** Is there a loss, did it change: session by session. */
  readonly verdicts: CornerVerdicts;
  readonly laps: Table | null;
  readonly before: Piece | null;
  readonly after: Piece | null;
}

/** Rows of the figure and of the table of laps; the CSV holds all of them. */
const MOST_SESSIONS = 24;
const MOST_LAPS = 40;
const MOST_LISTED = 60;

/** Everything the page of a corner says. */
export function cornerReport(results: Results, circuit: CircuitView, corner: MapCorner): CornerReport {
  const path = cornerPath(circuit.id, corner.name);
  const title = cornerWords(corner.name);
  const days = robotDays(results, circuit.id);
  const losses = days.map(({ session, laps, progress }) => ({
    session,
    progress,
    total: over(laps, () => true),
    phases: PHASES.map((phase) => ({ phase, ...over(laps, (c) => c === phase) })),
  }));
  const compared = losses.filter((d) => d.total.n > 0);
  const now = latestOf(compared, ({ progress, session }) => ({ progress, stage: session.stage }));
  const doubts = now ? doubtsOf(problemList(results), now.session.session) : [];
  const figures: Figure[] = [];
  const shown = days.slice(-MOST_SESSIONS);
  const source = daysSource(shown);

  const reference = eventsOfReference(circuit, corner);
  const rows: MarkRow[] = shown
    .map(({ session, laps }) => ({
      title: session.session.length > 24 ? `${session.session.slice(0, 23)}…` : session.session,
      stage: session.stage,
      events: eventsOfLaps(circuit, corner, laps),
    }))
    .reverse();
  const day = days.find((d) => d.session === now?.session) ?? days.at(-1);
  const robot = eventsOfLaps(circuit, corner, day?.laps ?? []);
  const plan =
    middles(reference).slowestM === undefined && middles(robot).slowestM === undefined
      ? null
      : figureOf(
          {
            id: 'corner-plan',
            number: 1,
            title: 'From above',
            caption: planCaption(),
            key: 'Entered where the arrow stands. Thin marks on the outside: the reference rider’s medians. Bold marks on the inside: the robot’s.',
            source: day ? sessionSource(results, day.session) : [],
            table: placesTable(),
            doubts,
          },
          (form, id, name) =>
            cornerPlan(form, id, name, { circuit, corner, reference: middles(reference), robot: middles(robot) }),
          true,
        );
  if (plan) figures.push(plan);
  const stations = [...rows, { events: reference }].flatMap((r) => EVENTS.flatMap(({ key }) => r.events[key]));
  const techniqueOfLaps = stations.length > 0 ? techniqueByLap() : null;
  if (techniqueOfLaps) {
    const margin = Math.max(8, (Math.max(...stations) - Math.min(...stations)) * 0.05);
    const range = { fromM: Math.min(...stations) - margin, toM: Math.max(...stations) + margin };
    figures.push(
      figureOf(
        {
          id: 'technique-marks',
          number: figures.length + 1,
          title: 'When each control moves',
          caption: marksCaption(),
          key: 'One row a session, latest on top; one mark a lap. Tall ticks: brake on, pick-up; short ticks: brake off, full drive; dots: the slowest point. Bold on the track, thin elsewhere. Grey: what the reference rider’s laps cover, with their median.',
          source,
          table: techniqueOfLaps,
          tableElsewhere: true,
          doubts,
        },
        (form, id, name) => techniqueMarks(form, id, name, { rows, reference, ...range, lengthM: circuit.lengthM }),
      ),
    );
  }
  if (compared.length > 0)
    figures.push(
      figureOf(
        {
          id: 'corner-trend',
          number: figures.length + 1,
          title: `What ${title} cost`,
          caption: trendCaption(),
          key: 'A bar a session, the median over its counted laps; hair lines are the range. One scale for the three phases. The page of the method says where a phase begins.',
          source,
          table: trendTable('trend-data', MOST_SESSIONS),
          doubts,
        },
        (form, _, name) =>
          cornerTrend(form, name, {
            columns: compared.slice(-MOST_SESSIONS).map((d) => ({
              title: isoDate(d.session.date).slice(5),
              parts: d.phases
                .filter((p) => p.n > 0)
                .map((p) => ({ phase: p.phase, gapS: p.median, lowS: p.low, highS: p.high })),
            })),
            digits: 2,
          }),
      ),
    );

  const verdicts = cornerVerdicts(results, circuit, corner, MOST_LISTED);
  const at = circuit.corners.indexOf(corner);
  const n = circuit.corners.length;
  const link = (i: number): Piece | null => {
    const other = n > 1 ? circuit.corners[(i + n) % n] : undefined;
    return other ? { text: sentence(cornerWords(other.name)), href: cornerPath(circuit.id, other.name) } : null;
  };

  return {
    kind: 'corner',
    ...pageOf(results, {
      path,
      name: `${sentence(title)}, ${circuit.name}`,
      kicker: [{ text: `${circuit.name} · ${sentence(title)}` }],
      headline: headline(),
      opening: opening(),
    }),
    doubts,
    particulars: particulars(),
    plan,
    figures: figures.filter((f) => f !== plan),
    sessions: trendTable('sessions-table', MOST_LISTED),
    verdicts,
    laps: techniqueOfLaps,
    before: link(at - 1),
    after: link(at + 1),
  };

  function headline(): string {
    if (!now) return `${sentence(title)}: no lap to compare yet`;
    const m = now.total.median;
    if (now.total.n > 1 && now.total.low < 0 && now.total.high > 0)
      return `${sentence(title)} is level, as far as these laps can tell`;
    if (Math.abs(m) < 0.005) return `${sentence(title)} costs nothing`;
    return m > 0
      ? `${sentence(title)} costs ${seconds(m, null, 2)}`
      : `${sentence(title)} gains ${seconds(-m, null, 2)}`;
  }

  function opening(): string {
    if (!now) return 'No counted lap of the robot has a ledger for this corner yet.';
    const parts = now.phases.filter((p) => p.n > 0);
    const lost = parts.filter((p) => p.median > 0);
    const range =
      now.total.n > 1
        ? ` (${signed(now.total.low, 2)} to ${signed(now.total.high, 2)}\u202fs over ${plural(now.total.n, 'lap')})`
        : ' (one lap)';
    const split = parts.map((p) => `${p.phase} ${signed(p.median, 2)}`);
    const most = [...lost].sort((a, b) => b.median - a.median)[0];
    const change = verdicts.now === '' ? '' : ` ${verdicts.now}`;
    return `On ${isoDate(now.session.date)} in the median${range}: ${listWords(split)}\u202fs.${most && lost.length > 1 ? ` Most of the loss lies in ${most.phase === 'apex' ? 'the apex' : most.phase === 'drive' ? 'the drive' : 'braking'}.` : ''}${change}`;
  }

  function marksCaption(): string {
    if (!day) return 'No counted lap of the robot yet; the grey bands are the reference rider’s.';
    const technique = day.laps.flatMap((l) => l.lap.technique.filter((t) => t.corner === corner.name));
    const sentences = MEASURES.filter((m) => m.key === 'brakeOnsetM' || m.key === 'pickUpM').flatMap((m) => {
      const like = technique.find((t) => m.of(t) !== null) ?? null;
      const ref = referenceOf(circuit, corner.name, m, like);
      const own = summary(
        technique
          .map(m.of)
          .filter((v) => v !== null)
          .map((v) => (ref ? stationDifference(v, ref.median, circuit.lengthM) : v)),
      );
      if (!ref || !own) return [];
      const word = m.key === 'brakeOnsetM' ? 'begins to brake' : 'picks the throttle up';
      if (ref.n > 1 && own.median >= ref.low - ref.median && own.median <= ref.high - ref.median)
        return [`${word} within the reference rider’s own spread`];
      if (Math.abs(own.median) < 1) return [`${word} within a metre of the reference`];
      return [`${word} ${metres(Math.abs(own.median))} ${own.median < 0 ? 'before' : 'after'} the reference`];
    });
    const slow = summary(technique.map((t) => t.slowestMps));
    const refSlow = referenceOf(circuit, corner.name, MEASURES.find((m) => m.key === 'slowestMps')!, null);
    const apex =
      slow && refSlow
        ? ` Slowest speed ${speedText(slow.median, 0)}, the reference ${speedText(refSlow.median, 0)}.`
        : '';
    return `${sentences.length ? `On ${isoDate(day.session.date)} the robot ${listWords(sentences)} in the median.` : `${sentence(plural(technique.length, 'lap'))} on ${isoDate(day.session.date)}.`}${apex}`;
  }

  function planCaption(): string {
    const [a, b] = [middles(reference), middles(robot)];
    const apart: string[] = [];
    const alike: string[] = [];
    for (const [key, words] of [
      ['brakeOnsetM', 'brakes'],
      ['slowestM', 'is slowest'],
      ['pickUpM', 'picks up'],
    ] as const) {
      const [from, to] = [a[key], b[key]];
      if (from === undefined || to === undefined) continue;
      const spread = summary(reference[key])!;
      const d = Math.round(to - from);
      if (d === 0 || (spread.n > 1 && to >= spread.low && to <= spread.high)) alike.push(words);
      else apart.push(`${words} ${metres(Math.abs(d))} ${d < 0 ? 'earlier' : 'later'}`);
    }
    const within = `${listWords(alike)} where the reference rider’s own laps do`;
    if (apart.length > 0)
      return `The robot ${listWords(apart)} than the reference, in the median${alike.length ? `; it ${within}` : ''}.`;
    if (alike.length > 0) return `The robot ${within}, in the median.`;
    return `The corner turns ${corner.direction === 'both' ? 'both ways' : `to the ${corner.direction}`} with a radius of ${metres(corner.radiusM)}.`;
  }

  function middles(events: CornerEvents): EventPlaces {
    return Object.fromEntries(
      EVENTS.flatMap(({ key }) => {
        const middle = summary(events[key]);
        return middle ? [[key, middle.median]] : [];
      }),
    );
  }

  function placesTable(): Table {
    const row = (title: string, events: CornerEvents): Cell[] => [
      { text: title },
      ...EVENTS.map(({ key }): Cell => {
        const r = summary(events[key]);
        if (!r) return { text: MISSING, tone: 'quiet' };
        return {
          text: metresNumber(onLap(r.median, circuit.lengthM), 1),
          ...(r.n > 1
            ? {
                aside: `${metresNumber(onLap(r.low, circuit.lengthM), 1)} to ${metresNumber(onLap(r.high, circuit.lengthM), 1)}`,
              }
            : {}),
        };
      }),
    ];
    return {
      id: 'plan-data',
      caption: 'Stations of the events, median and range',
      columns: [
        { title: 'rider', kind: 'text' },
        ...EVENTS.map(({ title: t }) => ({ title: t, unit: 'm', kind: 'number' as const })),
      ],
      rows: [row('reference', reference), row('robot', robot)],
      ...tableLinks(path, 'places'),
    };
  }

  function trendCaption(): string {
    const first = compared[0]!;
    const last = compared.at(-1)!;
    if (first === last)
      return `${sentence(seconds(first.total.median, null, 2))} in the median of ${plural(first.total.n, 'lap')} on ${isoDate(first.session.date)}.`;
    const tracks = compared.filter((d) => d.progress);
    const [a, b] = tracks.length > 1 ? [tracks[0]!, tracks.at(-1)!] : [first, last];
    const at = (d: typeof a): string =>
      `${signed(d.total.median, 2)}\u202fs on ${isoDate(d.session.date)} (${d.total.n > 1 ? `${signed(d.total.low, 2)} to ${signed(d.total.high, 2)} over ${plural(d.total.n, 'lap')}` : 'one lap'})`;
    const apart = b.total.high < a.total.low || b.total.low > a.total.high;
    return `From ${at(a)} to ${at(b)}${apart ? '' : '; laps of both days lie in the same range'}.`;
  }

  function particulars(): Particulars {
    const entry = `${metres(corner.entryM)} to ${metres(corner.exitM)}`;
    const band = circuit.referenceBand?.technique.flatMap((lap) => lap.filter((t) => t.corner === corner.name)) ?? [];
    const slow = summary(band.map((t) => t.slowestMps));
    return [
      ['Bends', [{ text: corner.direction === 'both' ? 'both ways' : `to the ${corner.direction}` }]],
      ['Radius', [{ text: metres(corner.radiusM) }]],
      ['From entry to exit', [{ text: entry }]],
      ['Window of its losses', [{ text: `from ${metres(corner.a)} to the next corner’s` }]],
      [
        'Reference brakes',
        [{ text: corner.brakes ? `at ${metres(corner.b)}, done by ${metres(corner.r)}` : 'not at all' }],
      ],
      ['Reference picks up', [{ text: `at ${metres(corner.p)}` }]],
      ...(slow
        ? [
            [
              'Reference slowest',
              [
                {
                  text:
                    slow.n > 1 ? `${kmhNumber(slow.low, 0)} to ${speedText(slow.high, 0)}` : speedText(slow.median, 0),
                },
              ],
            ] as const,
          ]
        : []),
      ['Phase map', [{ text: circuit.phaseMap === null ? 'proposed, not reviewed' : `version ${circuit.phaseMap}` }]],
    ];
  }

  /** The latest sessions, as many as there is room for. */
  function trendTable(id: string, most: number): Table {
    const listed = compared.slice(-most);
    return {
      id,
      caption: `Median loss in ${title} by session, with the range over the counted laps${listed.length < compared.length ? `; the latest ${listed.length} of ${plural(compared.length, 'session')}` : ''}`,
      columns: [
        { title: 'session', kind: 'text' },
        { title: 'laps', kind: 'number' },
        ...PHASES.map((p) => ({ title: p, unit: 's', kind: 'number' as const })),
        { title: 'total', unit: 's', kind: 'number' },
        { title: 'range', unit: 's', kind: 'number' },
      ],
      rows: listed
        .reverse()
        .map((d): Cell[] => [
          { text: d.session.session, href: sessionPath(d.session.session) },
          { text: String(d.total.n) },
          ...d.phases.map((p) => (p.n ? { text: signed(p.median, 2) } : { text: MISSING, tone: 'quiet' as const })),
          { text: signed(d.total.median, 2), tone: 'strong' },
          { text: d.total.n > 1 ? `${signed(d.total.low, 2)} to ${signed(d.total.high, 2)}` : '' },
        ]),
      ...tableLinks(path, 'losses'),
    };
  }

  function techniqueByLap(): Table {
    const all = days.flatMap((d) => d.laps).reverse();
    const mine = (l: LapOf) => l.lap.technique.find((t) => t.corner === corner.name);
    const listed = all.filter((l) => mine(l)).slice(0, MOST_LAPS);
    const used = MEASURES.filter((m) => listed.some((l) => m.of(mine(l)!) !== null));
    return {
      id: 'laps-table',
      caption: `Technique of ${listed.length < all.length ? `the latest ${listed.length} of ${all.length} laps` : plural(listed.length, 'lap')}; small: difference from the reference median`,
      columns: [
        { title: 'lap', kind: 'text' },
        ...used.map((m) => ({ title: m.title, unit: m.unit, kind: 'number' as const })),
      ],
      rows: listed.map((l) => [
        {
          text: `${l.session.session}, ${l.run.file.replace(/^.*\//, '').replace(/\.\w+$/, '')}, lap ${l.lap.lap}`,
          ...(l.page ? { href: l.page } : {}),
        },
        ...used.map((m) => measureCell(circuit, mine(l)!, m)),
      ]),
      ...(circuit.referenceBand
        ? {
            foot: [
              [
                { text: `reference, ${plural(circuit.referenceBand.laps, 'lap')}` },
                ...used.map((m): Cell => {
                  const r = referenceOf(circuit, corner.name, m, null);
                  if (!r) return { text: MISSING, tone: 'quiet' };
                  return {
                    text: m.write(r.median),
                    ...(r.n > 1 ? { aside: `${m.write(r.low)} to ${m.write(r.high)}` } : {}),
                  };
                }),
              ],
            ],
          }
        : {}),
      ...tableLinks(path, 'technique'),
      note: circuit.referenceBand ? 'Bold: outside what the reference rider’s own laps cover.' : '',
    };
  }

  function over(laps: readonly LapOf[], of: (phase: string) => boolean) {
    const values = laps
      .map((l) => l.lap.ledger.filter((c) => c.corner === corner.name && of(c.phase)))
      .filter((cells) => cells.some((c) => c.toM > c.fromM))
      .map((cells) => cells.reduce((s, c) => s + c.gapS, 0));
    return summary(values) ?? { n: 0, median: Number.NaN, low: Number.NaN, high: Number.NaN };
  }
}
