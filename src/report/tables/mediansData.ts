import type { SessionResult } from '../../campaign/results.ts';
import { cellWords } from '../cells.ts';
import { trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** The cells of a session as medians over its counted laps, with their range. */
export function mediansData(session: SessionResult): DataTable {
  return {
    columns: [
      'session',
      'corner',
      'cell',
      'phase',
      'part',
      'from [m]',
      'to [m]',
      'median gap [s]',
      'least [s]',
      'greatest [s]',
      'slower laps',
      'laps',
      'words',
    ],
    rows: (session.summary?.cells ?? []).map((c) => [
      session.session,
      c.corner,
      c.cell,
      c.phase,
      c.part ?? null,
      trimmed(c.fromM, 3),
      trimmed(c.toM, 3),
      trimmed(c.medianGapS, 6),
      trimmed(c.lowGapS, 6),
      trimmed(c.highGapS, 6),
      c.slowerLaps,
      session.summary?.laps ?? null,
      cellWords(c),
    ]),
  };
}
