import { basicClockS, LATEST_S, type Stamp } from './stamp.ts';

const DAY_S = 86_400;
/** Numbers above this are seconds since 1970, not since the start of the log. */
const UNIX_FROM_S = 1e8;

export interface Elapsed {
  /** (rows,) s; NaN where there is no stamp. */
  readonly timeS: Float64Array;
  /** Unix time of timeS = 0, or null. */
  readonly epochS: number | null;
}

/**
 * Stamps of whatever kind as seconds of one clock that does not jump at midnight.
 *
 * @param values (rows,) seconds as {@link Stamp} says, or plain seconds where `kind` is null; not changed
 * @param dates (rows,) Unix seconds of the midnight before each time of day, where the log has them
 * @returns with NaN for stamps that no log has, after the year 2100 or before 1973, and how many there were
 */
export function elapsed(
  values: Float64Array,
  kind: Stamp['kind'] | null,
  dates: Float64Array | null,
): Elapsed & { outOfRange: number; firstOut: number } {
  let absolute = values;
  let unix = kind === 'instant' || kind === 'date';
  if (kind === 'clock' && dates) {
    absolute = values.map((value, row) => value + dates[row]!);
    unix = true;
  } else if (kind === 'clock') absolute = acrossMidnight(values);
  else if (kind === null) unix = mostlyUnix(values);

  let outOfRange = 0;
  let firstOut = -1;
  let inRange = absolute;
  const earliest = unix ? UNIX_FROM_S : -UNIX_FROM_S;
  for (let row = 0; row < absolute.length; row++) {
    if (!(absolute[row]! >= LATEST_S || absolute[row]! < earliest)) continue;
    if (outOfRange++ === 0) {
      firstOut = row;
      inRange = absolute.slice();
    }
    inRange[row] = Number.NaN;
  }
  // Of absolute stamps the small part is kept, to the microsecond: a double has no more digits at this date.
  const epochS = unix ? first(inRange) : null;
  const zero = epochS ?? 0;
  const timeS =
    Number.isFinite(zero) && zero !== 0 ? inRange.map((value) => Math.round((value - zero) * 1e6) / 1e6) : inRange;
  return { timeS, epochS: epochS !== null && Number.isFinite(epochS) ? epochS : null, outOfRange, firstOut };
}

/**
 * Whether plain numbers are times of day written as `hhmmss`: all are such times, and somewhere the next minute follows
 * on second 59 or near it, where plain seconds would have gone on to 60.
 */
export function looksLikeBasicClock(values: Float64Array): boolean {
  let before = Number.NaN;
  let turns = 0;
  for (const value of values) {
    if (Number.isNaN(value)) continue;
    if (Number.isNaN(basicClockS(value))) return false;
    const step = value - before;
    if (step > 40 && step < 60 && basicClockS(value) - basicClockS(before) <= 2) turns++;
    before = value;
  }
  return turns > 0;
}

/** Some stamps may be zeros, of before the clock was set. */
function mostlyUnix(values: Float64Array): boolean {
  let unix = 0;
  let all = 0;
  for (let row = 0; row < values.length; row++) {
    if (Number.isNaN(values[row]!)) continue;
    all++;
    if (values[row]! > UNIX_FROM_S) unix++;
  }
  return unix * 2 > all;
}

/** Times of day that go on past midnight: a step back of more than half a day is the next day. */
function acrossMidnight(values: Float64Array): Float64Array {
  let days = 0;
  let before = Number.NaN;
  return values.map((value) => {
    if (value < before - DAY_S / 2) days++;
    else if (value > before + DAY_S / 2) days--;
    if (!Number.isNaN(value)) before = value;
    return value + days * DAY_S;
  });
}

function first(values: Float64Array): number {
  for (const value of values) if (!Number.isNaN(value)) return value;
  return Number.NaN;
}
