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
export interface LedgerRow<C> {
  readonly corner: string;
  /**
   * `from gate`: the rest of the drive out of the last corner of the lap before; `to gate`: the straight to the first
   * corner, as far as the gate.
   */
  readonly piece: 'corner' | 'from gate' | 'to gate';
  readonly cells: readonly C[];
}

/** Groups the cells of a lap, in station order, into rows. */
export function ledgerRows<C extends Pick<LedgerCell, 'corner' | 'part'>>(cells: readonly C[]): LedgerRow<C>[] {
  const groups: C[][] = [];
  for (const cell of cells) {
    const last = groups.at(-1);
    if (last && last[0]!.corner === cell.corner && last.at(-1)!.part !== 'to gate') last.push(cell);
    else groups.push([cell]);
  }
  return groups.map((group, i) => {
    const part = group.every((c) => c.part === group[0]!.part) ? group[0]!.part : undefined;
    const [first, last] = [i === 0, i === groups.length - 1];
    const piece =
      first && part === 'from gate' ? 'from gate' : last && !first && part === 'to gate' ? 'to gate' : 'corner';
    return { corner: group[0]!.corner, piece, cells: group };
  });
}

/** What a row is called in a table: the corner, `gate to 1` or `11 to gate`. */
export function rowTitle<C>(row: LedgerRow<C>, rows: readonly LedgerRow<C>[]): string {
  if (row.piece === 'corner') return row.corner;
  const i = rows.indexOf(row);
  return row.piece === 'from gate' ? `gate to ${rows[i + 1]?.corner ?? ''}` : `${rows[i - 1]?.corner ?? ''} to gate`;
}

/** The three phases in the order a corner is ridden. */
export const PHASES = ['braking', 'apex', 'drive'] as const;
