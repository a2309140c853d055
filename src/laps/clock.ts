import { median } from '../numbers/quantile.ts';

/** Where the stamps of a log fell back and stayed back: a logger that restarted, or a clock that was set. */
export interface ClockBreak {
  /** Row of the recording that came first after the break. */
  readonly row: number;
  /** On the unfolded clock, s. */
  readonly timeS: number;
  /** How far the stamps fell, s. */
  readonly backS: number;
}

/** Rows of a recording in rising order of time. */
export interface Clock {
  /** Strictly rising, s, one per kept row. */
  readonly timeS: Float64Array;
  /** Kept rows of the recording, in the order of `timeS`. */
  readonly row: Uint32Array;
  readonly breaks: readonly ClockBreak[];
  /** Rows without a stamp. */
  readonly noTime: number;
  /** Rows that carry the stamp of an earlier row; the first of them is kept. */
  readonly repeated: number;
  /** First row with a repeated stamp; -1 where there is none. */
  readonly firstRepeated: number;
  /** Kept rows that stood out of order. */
  readonly reordered: number;
  readonly firstReordered: number;
}

/** Stamps that are overtaken again within this many rows were written late; otherwise the clock was set back. */
const LATE_ROWS = 500;

/**
 * Puts the rows of a log in order of time and loses none silently.
 *
 * Rows written late are moved to their place. Where the clock falls back for good (power loss, a clock that was set),
 * what follows is unfolded behind the break by one usual step, so that times within a stretch stay differences of the
 * log's own stamps; laps across a break are not to be trusted, and the breaks are returned.
 *
 * @param stamps (n,) seconds in the order of the file, NaN where missing
 */
export function orderedClock(stamps: Float64Array): Clock {
  const n = stamps.length;
  if (alwaysRises(stamps)) return { ...UNTROUBLED, timeS: stamps, row: identity(n) };
  const unfolded = new Float64Array(n);
  const step = usualStep(stamps);
  const breaks: ClockBreak[] = [];
  let offset = 0;
  let top = Number.NEGATIVE_INFINITY;
  let noTime = 0;
  let reordered = 0;
  let firstReordered = -1;
  let kept = 0;
  const order = new Uint32Array(n);

  for (let i = 0; i < n; i++) {
    const t = stamps[i]! + offset;
    if (Number.isNaN(t)) {
      noTime++;
      continue;
    }
    if (t < top && !overtaken(stamps, i, top - offset)) {
      offset += top + step - t;
      breaks.push({ row: i, timeS: top + step, backS: top - t });
      unfolded[i] = top = top + step;
    } else {
      if (t < top) {
        reordered++;
        if (firstReordered === -1) firstReordered = i;
      }
      unfolded[i] = t;
      top = Math.max(top, t);
    }
    order[kept++] = i;
  }
  const rows = order.subarray(0, kept);
  if (reordered > 0) rows.sort((a, b) => unfolded[a]! - unfolded[b]! || a - b);

  const timeS = new Float64Array(kept);
  const row = new Uint32Array(kept);
  let used = 0;
  let firstRepeated = -1;
  for (const i of rows) {
    if (used > 0 && unfolded[i]! <= timeS[used - 1]!) {
      if (firstRepeated === -1) firstRepeated = i;
      continue;
    }
    timeS[used] = unfolded[i]!;
    row[used++] = i;
  }
  return {
    timeS: timeS.subarray(0, used),
    row: row.subarray(0, used),
    breaks,
    noTime,
    repeated: kept - used,
    firstRepeated,
    reordered,
    firstReordered,
  };
}

const UNTROUBLED = { breaks: [], noTime: 0, repeated: 0, firstRepeated: -1, reordered: 0, firstReordered: -1 };

function alwaysRises(stamps: Float64Array): boolean {
  for (let i = 1; i < stamps.length; i++) if (!(stamps[i]! > stamps[i - 1]!)) return false;
  return stamps.length > 0 && !Number.isNaN(stamps[0]!);
}

function identity(n: number): Uint32Array {
  const row = new Uint32Array(n);
  for (let i = 0; i < n; i++) row[i] = i;
  return row;
}

function overtaken(stamps: Float64Array, from: number, top: number): boolean {
  const end = Math.min(stamps.length, from + LATE_ROWS);
  for (let i = from + 1; i < end; i++) if (stamps[i]! > top) return true;
  return false;
}

/** Median of the forward steps; 0.01 s where there is none. */
function usualStep(stamps: Float64Array): number {
  const forward = new Float64Array(stamps.length);
  let count = 0;
  for (let i = 1; i < stamps.length; i++)
    if (stamps[i]! > stamps[i - 1]!) forward[count++] = stamps[i]! - stamps[i - 1]!;
  return count > 0 ? median(forward.subarray(0, count)) : 0.01;
}
