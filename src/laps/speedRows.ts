import { gather } from '../numbers/gather.ts';

/** Speed over ground at the rows that carry one. */
export interface SpeedRows {
  readonly timeS: Float64Array;
  readonly speedMps: Float64Array;
  /** Which rows they are. */
  readonly row: Int32Array;
}

/** A channel that fewer rows carry than this is no channel. */
const LEAST_SHARE = 0.2;
const LEAST_ROWS = 10;

/**
 * The rows of a trace that carry a speed.
 *
 * @param timeS (n,) rising
 * @param speedMps (n,) NaN where missing, or null
 * @returns null where there is no speed, or all but a few rows are without
 */
export function speedRows(timeS: Float64Array, speedMps: Float64Array | null): SpeedRows | null {
  if (speedMps === null) return null;
  const found = known.get(speedMps);
  if (found?.timeS === timeS) return found.rows;
  const rows = rowsWithSpeed(timeS, speedMps);
  known.set(speedMps, { timeS, rows });
  return rows;
}

/** Laps are cut and laid by the same rows. */
const known = new WeakMap<Float64Array, { readonly timeS: Float64Array; readonly rows: SpeedRows | null }>();

function rowsWithSpeed(timeS: Float64Array, speedMps: Float64Array): SpeedRows | null {
  const row = new Int32Array(timeS.length);
  let n = 0;
  for (let i = 0; i < timeS.length; i++) if (!Number.isNaN(speedMps[i]!)) row[n++] = i;
  if (n < LEAST_SHARE * timeS.length || n < LEAST_ROWS) return null;
  const all = n === timeS.length;
  const rows = all ? row : row.slice(0, n);
  const speed = gather(speedMps, rows);
  for (let k = 0; k < n; k++) speed[k] = Math.abs(speed[k]!);
  return { timeS: all ? timeS : gather(timeS, rows), speedMps: speed, row: rows };
}
