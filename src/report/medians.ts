import type { LedgerCell, SessionResult } from '../campaign/results.ts';
import { cellWords, ledgerRows, PHASES, rowTitle } from './cells.ts';
import type { Block } from './figures/skyline.ts';
import { NOISE_NOTE, tone } from './ledgerTable.ts';
import { losses, noLossWords } from './losses.ts';
import { cornerPath, sessionPath, type TableLinks, tableLinks } from './paths.ts';
import type { Results } from './readResults.ts';
import type { Cell, Table } from './report.ts';
import { summary } from './summary.ts';
import { number, plural, seconds, sentence, signed } from './words.ts';

export type MedianCell = NonNullable<SessionResult['summary']>['cells'][number];

/** Median cells as blocks of a skyline; the whisker is the range over the laps. */
export const medianBlock = (cell: MedianCell): Block => ({
  corner: cell.corner,
  phase: cell.phase,
  part: cell.part,
  fromM: cell.fromM,
  toM: cell.toM,
  gapS: cell.medianGapS,
  lowS: cell.lowGapS,
  highS: cell.highGapS,
});

/** Median cells in the form the words about losses take. */
export const asGaps = (cells: readonly MedianCell[]): (MedianCell & Pick<LedgerCell, 'gapS'>)[] =>
  cells.map((c) => ({ ...c, gapS: c.medianGapS }));

/**
 * What each window of a session's laps lost, in station order: the median over the counted laps of the window's own
 * sum, which need not be the sum of its cells' medians.
 */
export function windowMedians(results: Results, session: SessionResult): number[] {
  const perLap = results
    .laps(session)
    .filter((l) => l.speaks && l.lap.ledger.length > 0)
    .map((l) => ledgerRows(inOrder(l.lap.ledger)).map((row) => row.cells.reduce((sum, c) => sum + c.gapS, 0)));
  return (perLap[0] ?? []).map((_, i) => summary(perLap.map((sums) => sums[i] ?? 0))!.median);
}

const inOrder = (cells: readonly LedgerCell[]): LedgerCell[] =>
  [...cells].sort((a, b) => a.fromM - b.fromM || a.toM - b.toM);

/** The largest median loss of a session in a sentence, with its range and whether it stands out of it. */
export function largestCaption(session: SessionResult): string {
  const gaps = asGaps(session.summary?.cells ?? []);
  const laps = session.summary?.laps ?? 0;
  const top = losses(gaps).largest[0] as (typeof gaps)[number] | undefined;
  if (!top) return noLossWords(gaps);
  const range =
    laps > 1
      ? ` (${number(top.lowGapS, MEDIAN_DIGITS)} to ${seconds(top.highGapS, null, MEDIAN_DIGITS)} over ${plural(laps, 'lap')})`
      : ' on one lap';
  const noise =
    laps > 1 && top.lowGapS < 0
      ? ', not distinguishable from noise'
      : laps > 1
        ? `; slower there in ${top.slowerLaps} of ${plural(laps, 'lap')}`
        : '';
  return `${sentence(cellWords(top))} costs most, ${seconds(top.gapS, null, MEDIAN_DIGITS)} in the median${range}${noise}.`.replace(
    'in the median on one lap',
    'on one lap',
  );
}

/** Digits of medians over laps: laps differ by hundredths, so thousandths of a median mean nothing. */
export const MEDIAN_DIGITS = 2;

/** Every table of the medians of a session has the same rows behind it. */
const mediansLinks = (session: SessionResult): TableLinks => tableLinks(sessionPath(session.session), 'medians');

/** Corner by phase, medians over the counted laps of a session. */
export function medianTable(session: SessionResult): Table {
  const cells = session.summary?.cells ?? [];
  const laps = session.summary?.laps ?? 0;
  const digits = MEDIAN_DIGITS;
  const rows = ledgerRows(cells);
  const amount = (part: readonly MedianCell[]): Cell => {
    const real = part.filter((c) => c.toM > c.fromM);
    if (real.length === 0) return { text: '', tone: 'quiet' };
    const value = real.reduce((s, c) => s + c.medianGapS, 0);
    const aside =
      real.length === 1 && laps > 1
        ? `${signed(real[0]!.lowGapS, digits)} to ${signed(real[0]!.highGapS, digits)}`
        : undefined;
    const noise = real.length === 1 && real[0]!.lowGapS < 0 && real[0]!.highGapS > 0;
    return {
      text: signed(value, digits),
      ...(noise ? { tone: 'noise' as const } : tone(value, digits)),
      ...(aside ? { aside } : {}),
    };
  };
  return {
    id: 'medians',
    caption: `Median over ${plural(laps, 'counted lap')}; small: least to greatest`,
    columns: [
      { title: 'corner', kind: 'text' },
      { title: 'straight', unit: 's', kind: 'number' },
      ...PHASES.slice(0, 2).map((title) => ({ title, unit: 's', kind: 'number' as const })),
      { title: 'drive out', unit: 's', kind: 'number' },
    ],
    rows: rows.map((row) => [
      {
        text: rowTitle(row, rows),
        href: cornerPath(session.circuit, row.corner),
      },
      ...(['straight', 'braking', 'apex', 'exit'] as const).map((kind) =>
        amount(row.cells.filter((c) => c.cell === kind)),
      ),
    ]),
    ...mediansLinks(session),
    note: `Medians of cells need not add up to the median gap; on the page of each lap the cells add up exactly. ${NOISE_NOTE}`,
  };
}

/** The largest losses of a session: a row a cell. */
export function largestTable(session: SessionResult, most: number): Table {
  const cells = session.summary?.cells ?? [];
  const laps = session.summary?.laps ?? 0;
  const digits = MEDIAN_DIGITS;
  const rows = [...cells]
    .filter((c) => c.medianGapS > 0)
    .sort((a, b) => b.medianGapS - a.medianGapS)
    .slice(0, most);
  return {
    id: 'largest',
    caption: `The ${rows.length} largest losses of ${session.session}, median of ${plural(laps, 'counted lap')}`,
    columns: [
      { title: 'where', kind: 'text' },
      { title: 'lost', unit: 's', kind: 'number' },
      { title: 'range', unit: 's', kind: 'number' },
      { title: 'over', unit: 'm', kind: 'number' },
      { title: 'slower in', kind: 'text' },
    ],
    rows: rows.map((c) => [
      {
        text: cellWords(c),
        href: cornerPath(session.circuit, c.corner),
        phase: ({ braking: 'B', apex: 'A', drive: 'D' } as const)[c.phase],
      },
      { text: number(c.medianGapS, digits), tone: 'strong' },
      { text: laps > 1 ? `${number(c.lowGapS, digits)} to ${number(c.highGapS, digits)}` : 'one lap' },
      { text: number(c.toM - c.fromM) },
      {
        text: `${c.slowerLaps} of ${plural(laps, 'lap')}`,
        ...(c.lowGapS < 0 ? { aside: 'not distinguishable from noise' } : {}),
      },
    ]),
    ...mediansLinks(session),
  };
}

/** A data table for a skyline of medians. */
export function medianCells(id: string, session: SessionResult): Table {
  const cells = (session.summary?.cells ?? []).filter((c) => c.toM > c.fromM);
  const digits = MEDIAN_DIGITS;
  return {
    id,
    caption: 'Every phase of the lap, median and range over the counted laps',
    columns: [
      { title: 'phase', kind: 'text' },
      { title: 'from', unit: 'm', kind: 'number' },
      { title: 'to', unit: 'm', kind: 'number' },
      { title: 'median', unit: 's', kind: 'number' },
      { title: 'least', unit: 's', kind: 'number' },
      { title: 'greatest', unit: 's', kind: 'number' },
    ],
    rows: cells.map((c) => [
      { text: cellWords(c) },
      { text: number(c.fromM, 1) },
      { text: number(c.toM, 1) },
      { text: signed(c.medianGapS, digits) },
      { text: signed(c.lowGapS, digits) },
      { text: signed(c.highGapS, digits) },
    ]),
    ...mediansLinks(session),
  };
}
