import type { SessionResult } from '../campaign/results.ts';
import { bridgeTo } from './causes/bridgeFigure.ts';
import { envelopeFigure } from './causes/envelopeFigure.ts';
import { rankedCauses } from './causes/rankedCauses.ts';
import { cellWords } from './cells.ts';
import { type CompareData, compareData } from './compareData.ts';
import { figureOf } from './figureOf.ts';
import { lapTimes } from './figures/lapTimes.ts';
import { lossMap } from './figures/lossMap.ts';
import { beforeOf, foundOf } from './findings/found.ts';
import { type SessionVerdicts, sessionVerdicts } from './findings/sessionFindings.ts';
import { changeWords, verdictWords } from './findings/verdictWords.ts';
import { lapWords, stepsOfCells } from './lap.ts';
import { lossSentence, noLossWords } from './losses.ts';
import { medianSkyline } from './medianSkyline.ts';
import { asGaps, medianCells, medianTable } from './medians.ts';
import { pageOf } from './pageOf.ts';
import { sessionPath, slug, tableLinks } from './paths.ts';
import { doubtsOf, type ListedProblem, problemList } from './problemList.ts';
import type { LapOf, Results } from './readResults.ts';
import type { Cell, Doubt, Figure, Page, Particulars, Piece, Table } from './report.ts';
import { sessionSource } from './sources.ts';
import { standing } from './standing.ts';
import { summary } from './summary.ts';
import {
  count,
  digitsFor,
  gapWords,
  isoDate,
  lapTime,
  listWords,
  MISSING,
  metres,
  number,
  percent,
  plural,
  plusMinus,
  seconds,
  sentence,
  signed,
  Z_90,
} from './words.ts';

/** The page of one session. */
export interface SessionReport extends Page {
  readonly kind: 'session';
  readonly doubts: readonly Doubt[];
  readonly figures: readonly Figure[];
  readonly particulars: Particulars;
  readonly laps: Table;
  readonly medians: Table | null;
  /** Largest losses by cause; null where no lap was split. */
  readonly causes: Table | null;
  /** Real or noise; null where there is no lap to compare. */
  readonly verdicts: SessionVerdicts | null;
  /** Consistency in a sentence; empty below two counted laps. */
  readonly consistency: string;
  /** One block a run: what its log holds and how every row was used. */
  readonly runs: readonly { readonly title: string; readonly particulars: Particulars; readonly samples: Table }[];
  readonly problems: readonly ListedProblem[];
  /** What the script of the page compares laps by; null where there are not two. */
  readonly compare: CompareData | null;
  readonly before: Piece | null;
  readonly after: Piece | null;
}

/** Everything the page of a session says. */
export function sessionReport(results: Results, session: SessionResult): SessionReport {
  const path = sessionPath(session.session);
  const all = results.laps(session);
  const circuit = results.circuit(session.circuit);
  const sum = session.summary;
  const reference = session.reference;
  const list = problemList(results);
  const doubts = doubtsOf(list, session.session);
  const cells = sum?.cells ?? [];
  const source = sessionSource(results, session, true);

  const timed = all.filter((l) => l.lap.timeS !== null);
  const figures: Figure[] = [];
  const laps = lapsTable();
  if (timed.length > 0)
    figures.push(
      figureOf(
        {
          id: 'lap-times',
          number: 1,
          title: 'The laps as ridden',
          caption: timesCaption(),
          key: `Filled: counted. Open: shown, not counted. Crossed: not valid.${reference ? ' Grey line: the reference lap.' : ''}${sum && sum.laps > 1 ? ' Dashed: the median of the counted laps.' : ''} A lap far slower than the rest stands at the upper edge with an arrow.`,
          source,
          table: laps,
          tableElsewhere: true,
          doubts,
        },
        (form, id, name) =>
          lapTimes(form, id, name, {
            laps: timed.map((l) => ({
              run: l.run.file,
              lap: l.lap.lap,
              timeS: l.lap.timeS!,
              state: !l.lap.valid ? 'invalid' : l.lap.counted ? 'counted' : 'not counted',
            })),
            referenceS:
              session.rider.kind === 'robot' || reference?.session !== session.session
                ? (reference?.timeS ?? null)
                : null,
            medianS: sum && sum.laps > 1 ? sum.medianS : null,
          }),
      ),
    );
  const gaps = asGaps(cells);
  const compares = cells.length > 0 && circuit !== undefined && session.rider.kind === 'robot';
  if (compares && circuit) {
    figures.push(
      medianSkyline(results, session, circuit.lengthM, { number: 2, source, doubts }),
      figureOf(
        {
          id: 'loss-map',
          number: 3,
          title: 'The losses on the ground',
          caption: lossSentence(gaps) || noLossWords(gaps),
          key: 'The ribbon is as wide as the median seconds lost per 100\u202fm in each phase (warm) or gained (cool).',
          source,
          table: medianCells('skyline-data', session),
          tableElsewhere: true,
          doubts,
        },
        (form, id, name) => lossMap(form, id, name, { circuit, steps: stepsOfCells(gaps) }),
      ),
    );
  }

  const middle = sum && results.lap(sum.medianLap);
  if (compares && reference && middle?.lap.causes)
    figures.push(
      bridgeTo(results, 'median lap', middle, middle.lap.causes, reference.timeS, {
        number: figures.length + 1,
        doubts,
      }),
    );
  if (compares && session.envelope)
    figures.push(
      envelopeFigure(session.envelope, {
        number: figures.length + 1,
        source,
        doubts,
        links: tableLinks(path, 'envelope'),
      }),
    );

  const at = results.sessions.indexOf(session);
  const link = (other: SessionResult | undefined): Piece | null =>
    other ? { text: other.session, href: sessionPath(other.session) } : null;

  return {
    kind: 'session',
    ...pageOf(results, {
      path,
      date: session.date,
      name: session.session,
      kicker: [
        {
          text: `${sentence(session.stage)} session of ${isoDate(session.date)} · ${circuit?.name ?? session.circuit}`,
        },
      ],
      headline: headline(),
      opening: opening(),
    }),
    doubts,
    figures,
    particulars: particulars(),
    laps,
    medians: compares ? medianTable(session) : null,
    causes: compares ? rankedCauses(results, session, 12) : null,
    verdicts: session.rider.kind === 'robot' ? sessionVerdicts(results, session) : null,
    consistency: consistency(),
    runs: session.runs.map((run) => ({
      title: run.file,
      particulars: runParticulars(run),
      samples: samplesTable(session, run),
    })),
    problems: list.filter((p) => p.session === session.session),
    compare: compareData(results, session),
    before: link(results.sessions[at - 1]),
    after: link(results.sessions[at + 1]),
  };

  function headline(): string {
    if (!sum) return all.length === 0 ? 'No laps' : `${sentence(plural(all.length, 'lap'))}, none counted`;
    if (session.rider.kind === 'robot' && sum.medianGapS !== null) {
      const range = standing(results, session);
      return range && range.n > 1 && range.low < 0 && range.high > 0
        ? 'Level with the reference, as far as these laps can tell'
        : sentence(gapText(sum.medianGapS));
    }
    return `${sentence(plural(sum.laps, 'lap'))}, median ${lapTime(sum.medianS)}`;
  }

  function gapText(gapS: number): string {
    return `${gapWords(gapS, null, 2)} in the median`;
  }

  function opening(): string {
    const ridden = `${sentence(plural(all.length, 'lap'))} ridden`;
    if (!sum) {
      const why = [...new Set(all.flatMap((l) => l.lap.reasons.map((r) => r.text)))];
      if (all.length === 0) return 'Nothing could be read from this session; the problems below say why.';
      return `${ridden}, and ${all.length === 1 ? 'it does not count' : 'none of them counts'}${why.length ? `: ${listWords(why.slice(0, 3))}` : ''}.`;
    }
    const sampleWords = `${ridden}, ${sum.laps} counted`;
    const best = `best ${lapTime(sum.bestS)}`;
    const range = sum.laps > 1 ? `, from ${lapTime(sum.bestS)} to ${lapTime(sum.slowestS)}` : '';
    if (session.rider.kind === 'human' || sum.medianGapS === null || !reference)
      return `${sampleWords}; median ${lapTime(sum.medianS)}${range}.${reference ? '' : ' There is no reference lap for this circuit, so no gap is given.'}`;
    const share = percent(Math.abs(sum.medianGapS) / reference.timeS, 1);
    const bestGap = sum.bestGapS === null ? '' : ` (${gapWords(sum.bestGapS, null, 2)})`;
    return `${sampleWords}. Median lap ${lapTime(sum.medianS)}, ${share} ${sum.medianGapS < 0 ? 'under' : 'over'} the reference lap of ${lapTime(reference.timeS)}; ${best}${bestGap}.${changed()} ${lossSentence(gaps)}`;
  }

  /** Against the session before, with the verdict. */
  function changed(): string {
    const against = beforeOf(foundOf(results, session.session));
    return against
      ? ` Against ${against.with[0]} ${changeWords(against.lap.changeS)}: ${verdictWords(against.lap)}.`
      : '';
  }

  function timesCaption(): string {
    if (!sum) return 'No lap of this session counts.';
    const out = timed.length - sum.laps;
    const rest = out > 0 ? `; ${plural(out, 'further lap')} shown` : '';
    return sum.laps > 1
      ? `${sentence(plural(sum.laps, 'counted lap'))} within ${seconds(sum.slowestS - sum.bestS, null, 2)}, median ${lapTime(sum.medianS)}${rest}.`
      : `One lap counts: ${lapTime(sum.bestS)}${rest}.`;
  }

  function consistency(): string {
    const times = all.filter((l) => l.speaks && l.lap.timeS !== null).map((l) => l.lap.timeS!);
    const middle = summary(times);
    if (!middle || times.length < 2) return '';
    const mean = times.reduce((s, t) => s + t, 0) / times.length;
    const deviation = Math.sqrt(times.reduce((s, t) => s + (t - mean) ** 2, 0) / (times.length - 1));
    const widest = [...cells].sort((a, b) => b.highGapS - b.lowGapS - (a.highGapS - a.lowGapS))[0];
    const where = widest
      ? ` The phase that varies most is ${cellWords(widest)}, over ${seconds(widest.highGapS - widest.lowGapS, null, 2)}.`
      : '';
    return `${sentence(plural(times.length, 'lap'))} lie within ${seconds(middle.high - middle.low, null, 2)}; their standard deviation is ${seconds(deviation, null, 2)}.${where}`;
  }

  function particulars(): Particulars {
    const rows: (readonly [string, readonly Piece[]])[] = [
      ['Date', [{ text: isoDate(session.date) }]],
      ['Stage', [{ text: session.stage }]],
      ['Circuit', [{ text: circuit ? `${circuit.name}, ${metres(circuit.lengthM)}` : session.circuit }]],
      ['Rider', [{ text: session.rider.name }]],
    ];
    if (session.controller) rows.push(['Controller', [{ text: session.controller }]]);
    for (const [key, value] of Object.entries(session.conditions))
      rows.push([sentence(key.replaceAll('_', ' ')), [{ text: readable(value) }]]);
    if (reference) {
      const of = results.lap(reference);
      rows.push([
        'Reference',
        [
          {
            text: `${lapTime(reference.timeS)}, ${lapWords(reference.run, reference.lap)}`,
            ...(of?.page ? { href: of.page } : {}),
          },
        ],
      ]);
    }
    rows.push(['Phase map', [{ text: session.phaseMap === null ? 'none' : `version ${session.phaseMap}` }]]);
    return rows;
  }

  function lapsTable(): Table {
    const planned = all.some((l) => l.lap.planS !== null);
    const official = all.some((l) => l.lap.officialS !== null);
    const several = new Set(all.map((l) => l.run.rider)).size > 1;
    return {
      id: 'laps',
      caption: 'Every lap of the session, with what became of it',
      columns: [
        { title: 'lap', kind: 'text' },
        ...(several ? [{ title: 'rider', kind: 'text' } as const] : []),
        { title: 'kind', kind: 'text' },
        { title: 'time', kind: 'number' },
        ...(official ? [{ title: 'official', kind: 'number' } as const] : []),
        { title: 'gap', unit: 's', kind: 'number' },
        ...(planned
          ? ([
              { title: 'plan', unit: 's', kind: 'number' },
              { title: 'execution', unit: 's', kind: 'number' },
            ] as const)
          : []),
        { title: 'counted', kind: 'text' },
        { title: 'why not', kind: 'text' },
      ],
      rows: all.map((l) => lapRow(l, planned, several, official)),
      ...tableLinks(path, 'laps'),
      more: [
        {
          text: 'everything of this session as JSON',
          href: `results/${slug(session.session)}.json${results.campaign.edition ? '.gz' : ''}`,
        },
      ],
    };
  }

  function lapRow({ run, lap, page, rider }: LapOf, planned: boolean, several: boolean, official: boolean): Cell[] {
    const d = digitsFor(lap.sigmaS);
    const title = `${session.runs.length > 1 ? `${shortRun(run.file)}, ` : ''}lap ${lap.lap}`;
    const doubt = plusMinus(lap.sigmaS, d);
    return [
      { text: title, ...(page ? { href: page } : {}) },
      ...(several ? [{ text: rider.name }] : []),
      { text: lap.kind },
      {
        text: lap.timeS === null ? (lap.coveredM > 0 ? `to ${metres(lap.coveredM)}` : MISSING) : lapTime(lap.timeS),
        ...(lap.timeS === null ? { tone: 'quiet' as const } : {}),
      },
      ...(official ? [officialCell(lap)] : []),
      { text: signed(lap.gapS, d), ...(doubt ? { aside: doubt } : {}) },
      ...(planned ? [{ text: signed(lap.planS, d) }, { text: signed(lap.executionS, d) }] : []),
      lap.counted ? { text: 'yes' } : { text: lap.valid ? 'no' : 'not valid', tone: 'quiet' },
      {
        text:
          [...lap.reasons.map((r) => r.text), ...(lap.capped ? [`under a cap: ${lap.capped}`] : [])].join('; ') ||
          (lap.counted ? '' : notFlying(lap.kind)),
      },
    ];
  }
}

/** What the circuit's own timing says, with ours less it. */
function officialCell({ officialS, timeS }: LapOf['lap']): Cell {
  if (officialS === null) return { text: '' };
  return {
    text: lapTime(officialS),
    ...(timeS === null ? {} : { aside: `ours ${signed(timeS - officialS, 3)}` }),
  };
}

const notFlying = (kind: string): string => (kind === 'flying' ? '' : `${kind} lap`);

/** UCUM codes as people write them. */
const readable = (value: string): string => value.replace(/\bCel\b/, '°C').replace(/ deg\b/, '°');

/** A run by its file's name without folder and extension. */
const shortRun = (file: string): string => file.replace(/^.*\//, '').replace(/\.[A-Za-z0-9.]+$/, '');

type Run = SessionResult['runs'][number];

const SIGMA_FROM = {
  log: 'as the log says',
  session: 'as the session file says',
  stage: 'as assumed for the stage',
  assumed: 'assumed',
} as const;

function runParticulars(run: Run): Particulars {
  const { quality } = run;
  return [
    ['SHA-256', [{ text: run.sha256 }]],
    ['Size', [{ text: `${count(run.bytes)} bytes` }]],
    ['Rates', [{ text: `${number(run.rateHz, 0)}\u202fHz, positions ${number(run.positionRateHz, 0)}\u202fHz` }]],
    [
      'Position',
      [
        {
          text: `± ${number(quality.positionSigmaM * Z_90, 3)}\u202fm, ${SIGMA_FROM[quality.positionSigmaFrom]}${quality.shiftSigmaM > 0 ? `; point on the machine ± ${number(quality.shiftSigmaM * Z_90, quality.shiftSigmaM < 0.3 ? 2 : 1)}\u202fm along it` : ''}`,
        },
      ],
    ],
    [
      'Speed',
      [
        {
          text:
            quality.speedSigmaMps === null
              ? 'not logged'
              : `scatter against position ± ${number(quality.speedSigmaMps * Z_90, 2)}\u202fm/s`,
        },
      ],
    ],
    [
      'Configuration',
      [
        {
          text: `${
            Object.entries(run.configuration)
              .map(([k, v]) => `${k} ${v}`)
              .join(', ') || 'none given'
          } (hash ${run.configurationHash})`,
        },
      ],
    ],
    ['Channels', [{ text: run.channels.map((c) => c.name).join(', ') || MISSING }]],
    ...(run.emulated.length ? [['Emulated', [{ text: run.emulated.join(', ') }]] as const] : []),
    ...(run.otherColumns.length ? [['Also in the log', [{ text: run.otherColumns.join(', ') }]] as const] : []),
  ];
}

function samplesTable(session: SessionResult, run: Run): Table {
  const { samples } = run;
  const row = (text: string, value: number): Cell[] => [
    { text },
    { text: count(value) },
    { text: samples.rows ? percent(value / samples.rows, value / samples.rows < 0.1 ? 2 : 1) : MISSING },
  ];
  const fresh = samples.used;
  return {
    id: `samples-${slug(run.file)}`,
    caption: `Rows of ${run.file}`,
    columns: [
      { title: 'rows', kind: 'text' },
      { title: 'count', kind: 'number' },
      { title: 'share', kind: 'number' },
    ],
    rows: [
      row('used with a fresh position', fresh),
      row('position held from an earlier row', samples.held),
      row('position set aside as an outlier', samples.outlier),
      row('off the line: pit lane, paddock', samples.offLine),
      row('without position', samples.noPosition),
      row('same stamp as the row before', samples.repeatedTime),
      row('without stamp', samples.noTime),
    ],
    foot: [row('all rows', samples.rows)],
    note: samples.reordered
      ? `${sentence(plural(samples.reordered, 'used row'))} came out of order and ${samples.reordered === 1 ? 'was' : 'were'} put back in place.`
      : '',
    ...tableLinks(sessionPath(session.session), 'runs'),
  };
}
