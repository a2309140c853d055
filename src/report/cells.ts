import type { LedgerCell } from '../campaign/results.ts';

type Named = Pick<LedgerCell, 'corner' | 'cell' | 'phase' | 'part'>;

/** `corner 3` for a numbered corner; a corner with a name goes by its name. */
export const cornerWords = (corner: string): string => (/^\d/.test(corner) ? `corner ${corner}` : corner);

/** A cell in words: `braking for corner 3`, `the drive out of corner 3`. */
export function cellWords({ corner, cell, part }: Named): string {
  const at = cornerWords(corner);
  const words = {
    straight: `the straight to ${at}`,
    braking: `braking for ${at}`,
    apex: `the apex of ${at}`,
    exit: `the drive out of ${at}`,
  }[cell];
  return part === undefined ? words : `${words}, ${part === 'to gate' ? 'up to the gate' : 'from the gate on'}`;
}

/** Cells of one corner that follow each other: a row of the ledger. A window that the gate cuts gives two rows. */
export interface LedgerRow<C extends Named> {
  readonly corner: string;
  /** `from the gate` on the piece before the first corner of the lap. */
  readonly afterGate: boolean;
  readonly cells: readonly C[];
}

/** Groups the cells of a lap, in station order, into rows. */
export function ledgerRows<C extends Named>(cells: readonly C[]): LedgerRow<C>[] {
  const rows: { corner: string; afterGate: boolean; cells: C[] }[] = [];
  for (const cell of cells) {
    const last = rows.at(-1);
    if (last && last.corner === cell.corner && last.cells.at(-1)?.part !== 'to gate') last.cells.push(cell);
    else rows.push({ corner: cell.corner, afterGate: rows.length === 0 && cell.part === 'from gate', cells: [cell] });
  }
  return rows;
}

/** The three phases in the order a corner is ridden. */
export const PHASES = ['braking', 'apex', 'drive'] as const;
