import type { SessionResult } from '../../campaign/results.ts';
import { GROUP_OF } from '../causes/names.ts';
import type { LapOf } from '../readResults.ts';
import { trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** Lines that hold less in both accounts are left out, s. */
const LEAST_S = 0.0005;

/** The gap of laps by corner and cause, in its own stretch and with what its speed costs later. */
export function causesData(laps: readonly LapOf[]): DataTable {
  const rows = laps.flatMap(({ run, lap }) =>
    (lap.causes?.windows ?? []).flatMap((w) =>
      w.causes
        .filter(({ gapS, madeS }) => Math.max(Math.abs(gapS), Math.abs(madeS)) >= LEAST_S)
        .map((c) => [
          run.file,
          lap.lap,
          w.corner,
          w.part,
          GROUP_OF[c.cause],
          c.cause,
          trimmed(c.gapS, 4),
          trimmed(c.madeS, 4),
          trimmed(c.madeLowS, 4),
          trimmed(c.madeHighS, 4),
          c.refused ?? null,
        ]),
    ),
  );
  return {
    columns: [
      'run',
      'lap',
      'corner',
      'part',
      'group',
      'cause',
      'here [s]',
      'with later [s]',
      'low [s]',
      'high [s]',
      'not told apart because',
    ],
    rows,
  };
}

/** Points behind a session's demonstrated boundary, by the share of the lateral limit in use. */
export function envelopeData({ envelope }: SessionResult): DataTable {
  return {
    columns: ['from share', 'to share', 'points', 'near the boundary'],
    rows: (envelope?.lean ?? []).map((row) => [row.fromShare, row.toShare, row.points, row.onFrontier]),
  };
}
