import type { LedgerCell } from '../campaign/results.ts';
import { ledgerRows, PHASES, rowTitle } from './cells.ts';
import { cornerPath } from './paths.ts';
import type { Cell, Table } from './report.ts';
import { rounded } from './rounded.ts';
import { digitsFor, metres, plusMinus, signed, Z_90 } from './words.ts';

/** What grey italics in a table mean. */
export const NOISE_NOTE = 'Grey italics: not distinguishable from noise.';

/** Digits that the cells of a ledger are shown with: by the middle one of their uncertainties. */
export function ledgerDigits(cells: readonly { readonly sigmaS: number }[]): number {
  const sigmas = cells
    .map((c) => c.sigmaS)
    .filter((s) => s > 0)
    .sort((a, b) => a - b);
  return digitsFor(sigmas[sigmas.length >> 1]);
}

/** Cells that do not add up to the lap's gap are a fault that rounding may not cover. */
const isWhole = (plainS: number, totalS: number): boolean => Math.abs(plainS - totalS) < 1e-5;

/** The cells of a lap with their losses as every table and figure of the lap writes them: rounded, and adding up. */
export function shownCells(cells: readonly LedgerCell[], totalS: number): LedgerCell[] {
  const plainS = cells.reduce((total, c) => total + c.gapS, 0);
  const values = rounded(
    cells.map((c) => c.gapS),
    ledgerDigits(cells),
    isWhole(plainS, totalS) ? totalS : plainS,
  );
  return cells.map((c, i) => ({ ...c, gapS: values[i]! }));
}

/**
 * The ledger of one lap: a row a corner, braking, apex, drive and total, and where the plan was logged its two parts.
 * What is shown adds up, along rows and columns, to the total that is shown.
 *
 * @param totalS the lap's gap, or what the cells cover of it
 * @param reachM where the cells end, on a lap that was not completed
 */
export function ledgerTable(
  cells: readonly LedgerCell[],
  {
    circuit,
    totalS,
    sigmaS,
    reachM,
    csv,
    json,
  }: { circuit: string; totalS: number; sigmaS: number | null; reachM: number | null; csv: string; json: string },
): Table {
  const digits = ledgerDigits(cells);
  const plainS = cells.reduce((total, c) => total + c.gapS, 0);
  const whole = isWhole(plainS, totalS);
  const shown = new Map(
    zip(
      cells,
      shownCells(cells, totalS).map((c) => c.gapS),
    ),
  );
  const planned = cells.length > 0 && cells.every((c) => c.planS !== null);
  const plans = new Map(
    planned
      ? zip(
          cells,
          rounded(
            cells.map((c) => c.planS!),
            digits,
          ),
        )
      : [],
  );
  const sum = (part: readonly LedgerCell[], of: ReadonlyMap<LedgerCell, number>): number =>
    part.reduce((total, c) => total + (of.get(c) ?? 0), 0);
  const amount = (part: readonly LedgerCell[], of = shown): Cell => {
    if (part.every((c) => c.toM <= c.fromM)) return { text: '', tone: 'quiet' };
    const value = sum(part, of);
    return { text: signed(value, digits), ...(of === shown ? toneOf(part, value, digits) : {}) };
  };
  const parts = (part: readonly LedgerCell[]): Cell[] =>
    planned ? [amount(part, plans), { text: signed(sum(part, shown) - sum(part, plans), digits) }] : [];
  const groups = ledgerRows(cells);
  const rows = groups.map((row): Cell[] => [
    {
      text: rowTitle(row, groups),
      href: cornerPath(circuit, row.corner),
    },
    ...PHASES.map((phase) => amount(row.cells.filter((c) => c.phase === phase))),
    { ...amount(row.cells), tone: 'strong' as const },
    ...parts(row.cells),
  ]);
  const foot: Cell[] = [
    { text: reachM === null ? 'lap' : `to ${metres(reachM)}` },
    ...PHASES.map((phase) => amount(cells.filter((c) => c.phase === phase))),
    { ...amount(cells), tone: 'strong' as const },
    ...parts(cells),
  ];
  const widest = Math.max(0, ...cells.map((c) => c.sigmaS));
  return {
    id: 'ledger',
    caption: 'Time lost (+) and gained (−) against the reference lap, by corner and phase',
    columns: [
      { title: 'corner', kind: 'text' },
      ...PHASES.map((title) => ({ title, unit: 's', kind: 'number' as const })),
      { title: 'total', unit: 's', kind: 'number' },
      ...(planned
        ? ([
            { title: 'plan', unit: 's', kind: 'number' },
            { title: 'execution', unit: 's', kind: 'number' },
          ] as const)
        : []),
    ],
    rows,
    foot: [foot],
    csv,
    json,
    note: `${whole ? 'Cells are rounded so that they add up to the total.' : `The cells hold ${signed(plainS, 3)}\u202fs of a gap of ${signed(totalS, 3)}\u202fs; the rest lies where the two laps could not be compared.`} A single cell is known to ${plusMinus(widest, digits)}\u202fs or better${sigmaS === null ? '' : `, the lap’s gap to ${plusMinus(sigmaS, digitsFor(sigmaS))}\u202fs`}. Drive holds the straight before the corner and the drive out of it.${rows.some((row) => row.some((c) => c.tone === 'noise')) ? ` ${NOISE_NOTE}` : ''}`,
  };
}

/** Tone of some cells together: noise where zero lies within their 90 % interval. */
function toneOf(part: readonly LedgerCell[], value: number, digits: number): Pick<Cell, 'tone'> {
  const halfWidth = Z_90 * Math.hypot(...part.map((c) => c.sigmaS));
  return halfWidth > 0 && Math.abs(value) <= halfWidth ? { tone: 'noise' } : tone(value, digits);
}

/** Colour of a number that shows as a loss or a gain; none for what rounds to nothing. */
export function tone(value: number, digits: number): { tone: 'loss' | 'gain' } | Record<string, never> {
  if (Number(Math.abs(value).toFixed(digits)) === 0) return {};
  return { tone: value > 0 ? 'loss' : 'gain' };
}

const zip = <A, B>(a: readonly A[], b: readonly B[]): [A, B][] => a.map((value, i) => [value, b[i]!]);
