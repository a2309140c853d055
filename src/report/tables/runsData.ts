import type { SessionResult } from '../../campaign/results.ts';
import { trimmed } from './csv.ts';
import type { DataTable } from './dataTable.ts';

/** The logs of some sessions, a row a run: which bytes they are, and how every row of them was used. */
export function runsData(sessions: readonly SessionResult[]): DataTable {
  return {
    columns: [
      'session',
      'run',
      'sha256',
      'size [By]',
      'rider',
      'configuration',
      'configuration hash',
      'rate [Hz]',
      'position rate [Hz]',
      'position sigma [m]',
      'laps',
      'rows',
      'used',
      'position held',
      'outlier',
      'off the line',
      'no position',
      'same stamp',
      'no stamp',
      'out of order',
    ],
    rows: sessions.flatMap((session) =>
      session.runs.map((run) => [
        session.session,
        run.file,
        run.sha256,
        run.bytes,
        run.rider,
        Object.entries(run.configuration)
          .map(([name, value]) => `${name} ${value}`)
          .join('; ') || null,
        run.configurationHash,
        trimmed(run.rateHz, 2),
        trimmed(run.positionRateHz, 2),
        trimmed(run.quality.positionSigmaM, 4),
        run.laps.length,
        run.samples.rows,
        run.samples.used,
        run.samples.held,
        run.samples.outlier,
        run.samples.offLine,
        run.samples.noPosition,
        run.samples.repeatedTime,
        run.samples.noTime,
        run.samples.reordered,
      ]),
    ),
  };
}
