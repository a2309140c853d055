import { type AlignedLap, timesAt } from '../align/alignLap.ts';
import type { Cell } from './cells.ts';
import { planTimes } from './plan.ts';
import { sigmaBetween } from './uncertainty.ts';

/** A cell with what it costs. Gap > 0: the lap was slower than the reference. */
export interface LedgerEntry extends Cell {
  readonly referenceS: number;
  readonly gapS: number;
  readonly sigmaS: number;
  /** Planned time minus reference time; null where the plan was not logged all through the cell. */
  readonly planS: number | null;
  /** Ridden time minus planned time. */
  readonly executionS: number | null;
}

export interface Ledger {
  readonly entries: readonly LedgerEntry[];
  /** Over the whole lap; null where one of the laps did not go round. */
  readonly gapS: number | null;
  readonly sigmaS: number | null;
  readonly planS: number | null;
  readonly executionS: number | null;
}

/**
 * The gap between two laps, cell by cell: (time of `lap`) − (time of `reference`).
 *
 * Boundaries are evaluated on the time curves themselves, and each cell is the difference of the cumulative gap at its
 * ends, so the cells of a whole lap sum to the gap of the lap times. Cells that one of the laps did not cover are left
 * out.
 */
export function ledgerOf(lap: AlignedLap, reference: AlignedLap, cells: readonly Cell[]): Ledger {
  const reach = Math.min(lap.coveredM, reference.coveredM);
  const covered = cells.filter((cell) => cell.toM <= reach);
  const bounds = Float64Array.from(new Set(covered.flatMap(({ fromM, toM }) => [fromM, toM]))).sort();
  const index = new Map(Array.from(bounds, (s, i) => [s, i]));
  const own = timesAt(lap, bounds);
  const other = timesAt(reference, bounds);
  const planned = planTimes(lap, bounds);

  const entries = covered.map((cell): LedgerEntry => {
    const i = index.get(cell.fromM)!;
    const k = index.get(cell.toM)!;
    const referenceS = other[k]! - other[i]!;
    const gapS = own[k]! - other[k]! - (own[i]! - other[i]!);
    const plan = planned ? planned[k]! - planned[i]! : Number.NaN;
    const known = !Number.isNaN(plan);
    return {
      ...cell,
      referenceS,
      gapS,
      sigmaS: cell.toM > cell.fromM ? sigmaBetween(lap, reference, cell.fromM, cell.toM) : 0,
      planS: known ? plan - referenceS : null,
      executionS: known ? gapS - (plan - referenceS) : null,
    };
  });
  if (lap.timeS === null || reference.timeS === null)
    return { entries, gapS: null, sigmaS: null, planS: null, executionS: null };
  const gapS = lap.timeS - reference.timeS;
  const planS = entries.every((e) => e.planS !== null) ? entries.reduce((sum, e) => sum + e.planS!, 0) : null;
  return {
    entries,
    gapS,
    sigmaS: sigmaBetween(lap, reference, 0, reach),
    planS,
    executionS: planS === null ? null : gapS - planS,
  };
}
