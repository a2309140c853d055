import { bandFound } from '../campaign/findings/written.ts';
import type { LapCurves, LedgerCell } from '../campaign/results.ts';
import { humanBand } from '../statistics/humanBand.ts';
import { alongTable } from './along.ts';
import { bridgeFigure } from './causes/bridgeFigure.ts';
import { cornerCauses } from './causes/cornerCauses.ts';
import { type Workbench, workbench } from './causes/workbench.ts';
import { cellWords, cornerWords, ledgerRows, rowTitle } from './cells.ts';
import { figureOf } from './figureOf.ts';
import { gapCurve } from './figures/gapCurve.ts';
import { type LossStep, lossMap } from './figures/lossMap.ts';
import { blockOf, skyline } from './figures/skyline.ts';
import { speedPair } from './figures/speedPair.ts';
import { bandWords } from './findings/bandWords.ts';
import { type LapData, lapData } from './lapData.ts';
import { ledgerDigits, ledgerTable, shownCells } from './ledgerTable.ts';
import { cornersWords, largestWords, losses, lossSentence } from './losses.ts';
import { pageOf } from './pageOf.ts';
import { lapPath, methodPath, sessionPath, type TableLinks, tableLinks } from './paths.ts';
import { doubtsOf, problemList } from './problemList.ts';
import type { LapOf, Results } from './readResults.ts';
import type { Cell, Doubt, Figure, Page, Particulars, Piece, Table } from './report.ts';
import { summary } from './summary.ts';
import { stationDifference, techniqueTable } from './techniqueTable.ts';
import {
  count,
  digitsFor,
  gapWords,
  lapTime,
  lossWords,
  MISSING,
  metres,
  number,
  percent,
  plural,
  seconds,
  sentence,
  signed,
  speedText,
  Z_90,
} from './words.ts';

/** The page of one lap. */
export interface LapReport extends Page {
  readonly kind: 'lap';
  /** Why the lap is not counted, or what to know about it. */
  readonly remarks: readonly string[];
  readonly doubts: readonly Doubt[];
  readonly figures: readonly Figure[];
  readonly ledger: Table | null;
  /** Corner by corner what caused the gap; null where the lap was not split. */
  readonly causes: Table | null;
  /** What the lap would take with parts of the reference lap in it; null where that was not worked out. */
  readonly workbench: Workbench | null;
  /** Plan against execution in a sentence; empty where the plan was not logged. */
  readonly plan: string;
  readonly technique: Table | null;
  readonly provenance: Particulars;
  /** What the script of the page reads off at a station; null where there is nothing to read. */
  readonly data: LapData | null;
  readonly before: Piece | null;
  readonly after: Piece | null;
}

const KINDS = { out: 'Out lap', flying: 'Lap', standing: 'Standing lap', in: 'In lap' } as const;

/** A lap in words: `lap 3 of run-01.csv`. */
export const lapWords = (run: string, lap: number): string => `lap ${lap} of ${run}`;

/**
 * Everything the page of a lap says.
 *
 * @param curves of that lap, null where there are none
 */
export function lapReport(results: Results, { session, run, lap, page, rider, speaks }: LapOf): LapReport {
  const path = page ?? lapPath(session.session, run.file, lap.lap);
  const circuit = results.circuit(session.circuit);
  const curves = results.curves(lap);
  const reference = session.reference;
  const isReference =
    reference !== null &&
    reference.session === session.session &&
    reference.run === run.file &&
    reference.lap === lap.lap;
  const cells = isReference ? [] : [...lap.ledger].sort((a, b) => a.fromM - b.fromM || a.toM - b.toM);
  const complete = lap.timeS !== null;
  const totalS = (complete ? lap.gapS : null) ?? cells.reduce((sum, c) => sum + c.gapS, 0);
  const digits = ledgerDigits(cells);
  const shown = shownCells(cells, totalS);
  const links = (name: string): TableLinks => tableLinks(path, name);
  const doubts = doubtsOf(problemList(results), session.session, run.file, lap.lap);
  const source: Piece[] = [
    { text: `${sentence(lapWords(run.file, lap.lap))}, ` },
    { text: session.session, href: sessionPath(session.session) },
    { text: ` (SHA-256 ${run.sha256.slice(0, 12)}…)`, href: '#provenance' },
    ...(reference && !isReference ? referencePieces(results, reference) : []),
  ];

  const lengthM = circuit?.lengthM ?? (curves ? curves.speedMps.length * curves.stepM : 0);
  const corners = circuit?.corners ?? [];
  const hasGap = !isReference && curves !== null && curves.gapS.some((g) => g !== null);
  const ledger =
    cells.length > 0 && circuit
      ? ledgerTable(cells, {
          circuit: circuit.id,
          totalS,
          sigmaS: lap.sigmaS,
          reachM: complete ? null : cells.at(-1)!.toM,
          ...links('ledger'),
        })
      : null;
  const figures: Figure[] = [];
  const next = (): number => figures.length + 1;

  if (ledger && circuit)
    figures.push(
      figureOf(
        {
          id: 'skyline',
          number: next(),
          title: 'Where the time goes',
          caption: skylineCaption(shown, digits),
          key: 'Each block is one phase: as wide as it is long on the ground, as high as its loss per 100\u202fm, so its area is seconds. Hatched B is braking, plain A apex, dotted D drive. Hair lines are 90\u202f% intervals; below the line each corner’s sum.',
          source,
          table: cellTable('skyline-data', shown, digits, links('ledger')),
          doubts,
        },
        (form, id, name) => skyline(form, id, name, { blocks: shown.map(blockOf), lengthM, digits }),
      ),
    );
  if (lap.causes && reference)
    figures.push(
      bridgeFigure(lap.causes, {
        number: next(),
        from: `reference, ${lapTime(reference.timeS, 2)}`,
        to: complete ? `this lap, ${lapTime(lap.timeS, 2)}` : 'this lap',
        whose: '',
        source,
        doubts,
        links: tableLinks(sessionPath(session.session), 'causes'),
      }),
    );
  if (hasGap && curves && circuit)
    figures.push(
      figureOf(
        {
          id: 'gap-curve',
          number: next(),
          title: 'How the gap grows',
          caption: gapCaption(shown, curves, complete ? lap : null, lengthM),
          key: 'Gap = time of this lap minus the reference’s at the same place; rising is losing. The band is the 90\u202f% interval; a dashed line is less certain than the rest, dots bridge a hole in the data; corners are shaded.',
          source,
          table: alongTable(curves, cells, lengthM, true, links('curves')),
          doubts,
        },
        (form, id, name) => gapCurve(form, id, name, { curves, corners, lengthM, digits: digitsFor(lap.sigmaS) }),
      ),
    );
  const referenceLap = reference && !isReference ? results.lap(reference) : undefined;
  const referenceTechnique = referenceLap?.lap.technique ?? [];
  if (curves?.speedMps.some((v) => v !== null))
    figures.push(
      figureOf(
        {
          id: 'speed-pair',
          number: next(),
          title: hasGap ? 'Speed against the reference' : 'Speed',
          caption: speedCaption(curves, lap.technique, referenceTechnique, hasGap, lengthM),
          key: hasGap
            ? 'Dark: this lap. Grey: the reference lap, in the pale band of the reference rider’s laps. Between them and in the strip below: warm where this lap is slower, cool where it is faster. Ticks: reference above, this lap below.'
            : 'Speed over station; corners are shaded.',
          source,
          table: alongTable(curves, cells, lengthM, hasGap, links('curves')),
          tableElsewhere: hasGap && circuit !== undefined,
          doubts,
        },
        (form, id, name) =>
          speedPair(form, id, name, {
            curves: hasGap ? curves : { ...curves, referenceMps: curves.referenceMps.map(() => null) },
            corners,
            lengthM,
            band: hasGap && circuit?.referenceBand ? { stepM: circuit.stepM, ...circuit.referenceBand } : null,
            technique: lap.technique,
            referenceTechnique,
          }),
      ),
    );
  if (cells.length > 0 && circuit)
    figures.push(
      figureOf(
        {
          id: 'loss-map',
          number: next(),
          title: 'The losses on the ground',
          caption: mapCaption(cells, lengthM),
          key: 'The circuit from above, travelled as the arrow at the gate points. The ribbon is as wide as the seconds lost per 100\u202fm (warm) or gained (cool).',
          source,
          table: mapTable('map-data', shown, digits, links('ledger')),
          doubts,
        },
        (form, id, name) =>
          lossMap(form, id, name, { circuit, steps: hasGap && curves ? stepsOfCurve(curves) : stepsOfCells(cells) }),
      ),
    );

  const siblings = results.laps(session).filter((l) => l.page !== null);
  const at = siblings.findIndex((l) => l.page === path);
  const link = (other: LapOf | undefined): Piece | null =>
    other?.page ? { text: sentence(lapWords(other.run.file, other.lap.lap)), href: other.page } : null;
  const title = `${KINDS[lap.kind]} ${lap.kind === 'out' ? '' : lap.lap}`.trim();

  return {
    kind: 'lap',
    ...pageOf(results, {
      path,
      date: session.date,
      name: `${title} of ${run.file}, ${session.session}`,
      kicker: [
        { text: session.session, href: sessionPath(session.session) },
        {
          text: ` · ${session.stage} · ${run.file} · ${rider.name}${rider.kind === 'robot' && session.controller ? `, controller ${session.controller}` : ''}`,
        },
      ],
      headline: headline(title, lap.timeS, isReference),
      opening: opening(),
    }),
    remarks: remarks(),
    doubts,
    figures,
    ledger,
    causes:
      lap.causes && circuit
        ? cornerCauses(lap.causes, circuit.id, tableLinks(sessionPath(session.session), 'causes'))
        : null,
    workbench: workbench({ session, run, lap, page, rider, speaks }),
    plan: planSentence(cells, lap.planS, lap.executionS, digitsFor(lap.sigmaS)),
    technique: circuit && lap.technique.length > 0 ? techniqueTable(circuit, lap.technique, links('technique')) : null,
    provenance: provenance(),
    data: lapData(curves, cells, corners, hasGap),
    before: link(siblings[at - 1]),
    after: link(siblings[at + 1]),
  };

  function opening(): string {
    if (isReference)
      return `${rider.name} rode it in ${lapTime(lap.timeS)}. All gaps of this circuit are measured against it.`;
    if (reference === null)
      return `There is no reference lap for this circuit, so no gap can be given.${complete ? '' : ` The lap ends at ${metres(lap.coveredM)}.`}`;
    if (!complete)
      return `The lap ends at ${metres(lap.coveredM)} of ${metres(lengthM)}.${cells.length ? ` Up to there it is ${gapWords(totalS, lap.sigmaS ?? cells.at(-1)?.sigmaS)}. ${lossSentence(cells)}` : ''}`;
    if (lap.gapS === null) return 'The lap could not be compared with the reference lap.';
    const share = percent(Math.abs(lap.gapS) / reference.timeS, 1);
    const largest = largestWords(shown, digits);
    return `${sentence(gapWords(lap.gapS, lap.sigmaS))} the reference lap of ${lapTime(reference.timeS)} (${share}).${cells.length ? ` ${lossSentence(cells)}${largest ? ` The largest single loss is ${largest}.` : ''}` : ''}`
      .replace('behind the', 'behind the')
      .replace('ahead the', 'ahead of the')
      .replace(/ level \((.*?)\) the/, ' level ($1) with the')
      .replace(/^Level \((.*?)\) the/, 'Level ($1) with the');
  }

  /** Where the lap lies among the reference rider's own; empty for laps of that rider, and where there are too few. */
  function band(): string {
    const home = reference && results.session(reference.session);
    if (!home || rider.kind !== 'robot' || lap.gapS === null || !lap.counted) return '';
    const own = results.laps(home).flatMap((l) => (l.speaks && l.lap.gapS !== null ? [l.lap.gapS] : []));
    return bandWords(bandFound(humanBand(lap.gapS, own)), 'The lap');
  }

  function remarks(): string[] {
    const list = lap.reasons.map((r) => `${sentence(r.text)}.`.replace(/\.\.$/, '.'));
    if (!lap.valid) list.unshift('This lap is not valid and is left out of all statistics.');
    else if (!lap.counted && !isReference && lap.kind === 'flying') list.unshift('This lap is shown but not counted.');
    else if (lap.kind !== 'flying')
      list.unshift(`${KINDS[lap.kind]}s are shown, not counted.`.replace(' laps', ' laps'));
    const among = band();
    if (among) list.push(among);
    if (lap.capped) list.push(`Ridden under a cap: ${lap.capped}.`);
    if (run.emulated.length) list.push(`Emulated on the bench, so not measured: ${run.emulated.join(', ')}.`);
    return list;
  }

  function provenance(): Particulars {
    const rows: (readonly [string, readonly Piece[]])[] = [
      ['Log', [{ text: `${run.file}, ${count(run.bytes)} bytes, ${plural(run.samples.rows, 'row')}` }]],
      ['SHA-256', [{ text: run.sha256 }]],
      [
        'Lap',
        [
          {
            text: `${lap.lap}, from ${number(lap.startS, 2)}\u202fs on the clock of the log${complete ? '' : `, up to ${metres(lap.coveredM)}`}`,
          },
        ],
      ],
      [
        'Rider',
        [
          {
            text: `${rider.name}${rider.kind === 'robot' && session.controller ? `, controller ${session.controller}` : ''}`,
          },
        ],
      ],
      ['Configuration', [{ text: `${configurationWords(run.configuration)} (hash ${run.configurationHash})` }]],
    ];
    if (reference && !isReference) {
      const of = results.lap(reference);
      rows.push([
        'Reference',
        [
          { text: `${lapTime(reference.timeS)} by ${reference.rider}: `, ...{} },
          {
            text: `${lapWords(reference.run, reference.lap)}, ${reference.session}`,
            ...(of?.page ? { href: of.page } : {}),
          },
        ],
      ]);
    }
    rows.push([
      'Versions',
      [
        { text: `phase map ${session.phaseMap ?? 'none'}, ` },
        { text: `method ${session.method}`, href: methodPath },
        { text: `, results schema ${session.schema}` },
      ],
    ]);
    if (lap.officialS !== null)
      rows.push([
        'Official time',
        [
          {
            text: `${lapTime(lap.officialS)}, ours ${lap.timeS === null ? '–' : `${signed(lap.timeS - lap.officialS, 3)}\u202fs from it`}`,
          },
        ],
      ]);
    if (lap.closureWorstS !== null)
      rows.push([
        'Check',
        [
          {
            text: `speed and position agree on every section’s time within ${seconds(Math.abs(lap.closureWorstS), null, 3)}`,
          },
        ],
      ]);
    return rows;
  }
}

function headline(title: string, timeS: number | null, isReference: boolean): string {
  if (isReference) return `The reference lap, ${lapTime(timeS)}`;
  return timeS === null ? `${title}, not completed` : `${title}, ${lapTime(timeS)}`;
}

function referencePieces(
  results: Results,
  reference: { session: string; run: string; lap: number; timeS: number },
): Piece[] {
  const of = results.lap(reference);
  return [
    { text: ' against ' },
    { text: `${lapWords(reference.run, reference.lap)}, ${reference.session}`, ...(of?.page ? { href: of.page } : {}) },
  ];
}

const configurationWords = (configuration: Readonly<Record<string, string>>): string =>
  Object.entries(configuration)
    .map(([key, value]) => `${key} ${value}`)
    .join(', ') || 'none given';

function skylineCaption(cells: readonly LedgerCell[], digits: number): string {
  const { lostS, gainedS, largest } = losses(cells);
  const [first] = largest as LedgerCell[];
  if (!first) return `Nothing is lost anywhere; ${seconds(gainedS, null, digits)} is gained.`;
  const gains = Number(gainedS.toFixed(digits)) > 0 ? ` ${seconds(gainedS, null, digits)} is gained elsewhere.` : '';
  return `${sentence(cellWords(first))} costs most: ${seconds(first.gapS, first.sigmaS)} over ${metres(first.toM - first.fromM)}, of ${seconds(lostS, null, digits)} lost on the lap.${gains}`;
}

/** @param lap the whole lap, whose gap at the gate is known better than the last sample of the curve; null for a part */
function gapCaption(
  cells: readonly LedgerCell[],
  curves: LapCurves,
  lap: Pick<LapOf['lap'], 'gapS' | 'sigmaS'> | null,
  lengthM: number,
): string {
  const last = curves.gapS.findLastIndex((g) => g !== null);
  const whole = lap !== null && lap.gapS !== null && (last + 2) * curves.stepM >= lengthM;
  const gap = whole ? lap.gapS : (curves.gapS[last] ?? null);
  const sigma = whole ? lap.sigmaS : (curves.sigmaS[last] ?? null);
  const reach = whole ? 'at the gate' : `at ${metres(last * curves.stepM)}, where the lap ends`;
  const rows = ledgerRows(cells).map((r) => ({
    corner: r.corner,
    gapS: r.cells.reduce((s, c) => s + c.gapS, 0),
    fromM: r.cells[0]!.fromM,
    toM: r.cells.at(-1)!.toM,
  }));
  const steepest = [...rows].sort((a, b) => b.gapS - a.gapS)[0];
  const grows =
    steepest && steepest.gapS > 0
      ? ` It grows most through ${cornerWords(steepest.corner)}, by ${seconds(steepest.gapS, null, digitsFor(sigma))} between ${metres(steepest.fromM)} and ${metres(steepest.toM)}.`
      : '';
  return `${sentence(gapWords(gap, sigma))} ${reach}.${grows}`;
}

type Technique = LapOf['lap']['technique'];

function speedCaption(
  curves: LapCurves,
  technique: Technique,
  reference: Technique,
  compared: boolean,
  lengthM: number,
): string {
  const speeds = curves.speedMps.map((v, i) => ({ v, i })).filter((p): p is { v: number; i: number } => p.v !== null);
  if (!compared) {
    const fastest = speeds.reduce((a, b) => (b.v > a.v ? b : a));
    const slowest = speeds.reduce((a, b) => (b.v < a.v ? b : a));
    return `Between ${speedText(slowest.v, 0)} at ${metres(slowest.i * curves.stepM)} and ${speedText(fastest.v, 0)} at ${metres(fastest.i * curves.stepM)}.`;
  }
  const worst = speeds
    .map(({ v, i }) => ({ i, d: v - (curves.referenceMps[i] ?? Number.NaN) }))
    .filter((p) => Number.isFinite(p.d))
    .reduce((a, b) => (b.d < a.d ? b : a), { i: 0, d: 0 });
  const early = technique.flatMap((t) => {
    const other = reference.find((r) => r.corner === t.corner);
    if (!other || t.brakeOnsetM === null || other.brakeOnsetM === null || t.rule.braking !== other.rule.braking)
      return [];
    return [stationDifference(other.brakeOnsetM, t.brakeOnsetM, lengthM)];
  });
  const middle = summary(early);
  const earlier = early.filter((d) => d > 0).length;
  const brakes = middle
    ? ` Brakes earlier than the reference in ${earlier} of ${plural(early.length, 'corner')}, in the median by ${metres(middle.median)}.`
    : '';
  const slower =
    worst.d < 0
      ? `The largest deficit is ${speedText(-worst.d, 0)}, at ${metres(worst.i * curves.stepM)}.`
      : 'Nowhere slower than the reference.';
  return slower + brakes.replace('by −', 'later by ');
}

function mapCaption(cells: readonly LedgerCell[], lengthM: number): string {
  const { lostS, largest } = losses(cells);
  if (lostS <= 0) return 'Nothing is lost anywhere on the circuit.';
  let held = 0;
  let length = 0;
  const places: string[] = [];
  const dense = (largest as LedgerCell[])
    .filter((c) => c.toM > c.fromM)
    .sort((a, b) => b.gapS / (b.toM - b.fromM) - a.gapS / (a.toM - a.fromM));
  for (const cell of dense) {
    if (held >= lostS / 2) break;
    held += cell.gapS;
    length += cell.toM - cell.fromM;
    if (!places.includes(cell.corner)) places.push(cell.corner);
  }
  const where = places.length <= 4 ? `, around ${cornersWords(places)}` : '';
  const digits = ledgerDigits(cells);
  return `Half of the ${seconds(lostS, null, digits)} lost is lost on ${percent(length / lengthM)} of the ground${where}.`;
}

/** Seconds per 100 m from the gap curve, over 10 m. */
function stepsOfCurve(curves: LapCurves): LossStep[] {
  const stride = Math.max(1, Math.round(10 / curves.stepM));
  const steps: LossStep[] = [];
  for (let i = 0; i + stride < curves.gapS.length; i += stride) {
    const [a, b] = [curves.gapS[i], curves.gapS[i + stride]];
    if (a === null || b === null || a === undefined || b === undefined) continue;
    steps.push({
      fromM: i * curves.stepM,
      toM: (i + stride) * curves.stepM,
      per100S: ((b - a) / (stride * curves.stepM)) * 100,
    });
  }
  return steps;
}

/** Seconds per 100 m of each cell. */
export function stepsOfCells(cells: readonly { fromM: number; toM: number; gapS: number }[]): LossStep[] {
  return cells
    .filter((c) => c.toM > c.fromM)
    .map((c) => ({ fromM: c.fromM, toM: c.toM, per100S: (c.gapS / (c.toM - c.fromM)) * 100 }));
}

function planSentence(
  cells: readonly LedgerCell[],
  planS: number | null,
  executionS: number | null,
  digits: number,
): string {
  if (planS === null || executionS === null) return '';
  const most = (of: (c: LedgerCell) => number | null): string => {
    const first = [...cells].sort((a, b) => (of(b) ?? 0) - (of(a) ?? 0))[0];
    return first ? `, most of all in ${cellWords(first)} (${seconds(of(first), null, digits)})` : '';
  };
  const lead =
    Math.abs(planS) >= Math.abs(executionS)
      ? 'The plan accounts for more than its execution'
      : 'Execution accounts for more than the plan';
  return `${lead}: ridden as planned the lap would be ${gapWords(planS, null, digits)} of the reference${most((c) => c.planS)}; in execution ${lossWords(executionS, null, digits)} against the plan${most((c) => c.executionS)}.`
    .replace('behind of', 'behind')
    .replace(/level \((.*?)\) of/, 'level ($1) with');
}

/** What the corners lost for each metre of theirs. */
function mapTable(id: string, cells: readonly LedgerCell[], digits: number, links: TableLinks): Table {
  const groups = ledgerRows(cells);
  return {
    id,
    caption: 'The corners by what they lose per 100\u202fm',
    columns: [
      { title: 'corner', kind: 'text' },
      { title: 'from', unit: 'm', kind: 'number' },
      { title: 'to', unit: 'm', kind: 'number' },
      { title: 'lost', unit: 's', kind: 'number' },
      { title: '± at most', unit: 's', kind: 'number' },
      { title: 'per 100\u202fm', unit: 's', kind: 'number' },
    ],
    rows: groups.map((row): Cell[] => {
      const [fromM, toM] = [row.cells[0]!.fromM, row.cells.at(-1)!.toM];
      const gapS = row.cells.reduce((sum, c) => sum + c.gapS, 0);
      const sigmaS = Math.hypot(...row.cells.map((c) => c.sigmaS));
      return [
        { text: rowTitle(row, groups) },
        { text: number(fromM, 1) },
        { text: number(toM, 1) },
        { text: signed(gapS, digits) },
        { text: sigmaS > 0 ? number(Z_90 * sigmaS, 3) : '' },
        { text: toM > fromM ? signed((gapS / (toM - fromM)) * 100, 3) : MISSING },
      ];
    }),
    ...links,
  };
}

/** The cells of a ledger as a list, with interval. */
function cellTable(id: string, cells: readonly LedgerCell[], digits: number, links: TableLinks): Table {
  const rows = cells
    .filter((c) => c.toM > c.fromM)
    .map((c): Cell[] => {
      return [
        { text: sentence(cellWords(c)) },
        { text: number(c.fromM, 1) },
        { text: number(c.toM, 1) },
        { text: signed(c.gapS, digits) },
        { text: c.sigmaS > 0 ? number(Z_90 * c.sigmaS, 3) : '' },
        { text: signed((c.gapS / (c.toM - c.fromM)) * 100, 3) },
      ];
    });
  return {
    id,
    caption: 'Every phase of the lap',
    columns: [
      { title: 'phase', kind: 'text' },
      { title: 'from', unit: 'm', kind: 'number' },
      { title: 'to', unit: 'm', kind: 'number' },
      { title: 'lost', unit: 's', kind: 'number' },
      { title: '±', unit: 's', kind: 'number' },
      { title: 'per 100\u202fm', unit: 's', kind: 'number' },
    ],
    rows,
    ...links,
  };
}
