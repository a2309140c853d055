import type { ClosedLine, Foot } from './line.ts';

/** Where an edge ends, its neighbours on the grid take its last offset over this many stations. */
const HELD = 2;
/** Share of the line that the foot may jump over at once. */
const LONGEST_JUMP = 0.05;
/** Metres that a foot must be nearer for each metre that it lies farther along than the foot before. */
const JUMP_COST = 0.1;

/**
 * Signed offsets of a line drawn beside another, on an even grid of stations.
 *
 * @param eastM,northM points of the drawn line in any direction; closed when its ends are no farther apart than its
 * longest step
 * @param stations of the grid
 * @returns NaN at stations beside which nothing was drawn; where the drawn line passes twice, the nearer pass
 */
export function offsetsBeside(
  line: ClosedLine,
  eastM: ArrayLike<number>,
  northM: ArrayLike<number>,
  stations: number,
): Float64Array {
  const offsets = new Float64Array(stations).fill(Number.NaN);
  const spacing = line.lengthM / stations;
  const count = eastM.length;
  if (count < 2) return offsets;
  const near: Foot[] = [];
  let station = Number.NaN;
  let offset = 0;
  /** Moves on to the best foot of a place: near the line, and not far along it from the foot before. */
  const follow = (east: number, north: number): number => {
    const before = station;
    let reach = Math.max(2 * Math.abs(offset), 4 * spacing);
    for (let found = 0; found === 0 && reach < 1e6 * line.lengthM; reach *= 2) {
      found = line.candidates(east, north, reach, near);
      let least = Number.POSITIVE_INFINITY;
      for (let k = 0; k < found; k++) {
        const { stationM, offsetM } = near[k]!;
        const jump = Number.isNaN(before) ? 0 : Math.abs(wrapped(stationM - before, line.lengthM));
        const cost = Math.abs(offsetM) + JUMP_COST * jump;
        if (cost < least) [least, station, offset] = [cost, stationM, offsetM];
      }
    }
    return Number.isNaN(before) ? 0 : wrapped(station - before, line.lengthM);
  };
  let longest = 0;
  for (let i = 1; i < count; i++) {
    longest = Math.max(longest, Math.hypot(eastM[i]! - eastM[i - 1]!, northM[i]! - northM[i - 1]!));
  }
  const back = Math.hypot(eastM[0]! - eastM[count - 1]!, northM[0]! - northM[count - 1]!);
  const last = back <= longest ? count : count - 1;

  follow(eastM[0]!, northM[0]!);
  for (let i = 0; i < last; i++) {
    const j = (i + 1) % count;
    const [dx, dy] = [eastM[j]! - eastM[i]!, northM[j]! - northM[i]!];
    const parts = Math.max(1, Math.ceil(Math.hypot(dx, dy) / spacing));
    for (let k = 1; k <= parts; k++) {
      const [fromS, fromM] = [station, offset];
      const step = follow(eastM[i]! + (dx * k) / parts, northM[i]! + (dy * k) / parts);
      // On the inside of a tight bend, beyond its centre, the foot jumps from one limb to the other: the edge is about as
      // far from all of the bend between. A longer jump is a stretch where nothing was drawn.
      if (Math.abs(step) < LONGEST_JUMP * line.lengthM) lay(offsets, spacing, fromS, step, fromM, offset);
    }
  }
  return hold(offsets);
}

/** The difference of two stations, the short way. */
const wrapped = (difference: number, length: number): number => difference - length * Math.round(difference / length);

/** Writes the offsets of one short stretch to the grid's stations that it passes. */
function lay(grid: Float64Array, spacing: number, from: number, step: number, fromM: number, toM: number): void {
  const low = Math.ceil((Math.min(from, from + step) - 1e-9 * spacing) / spacing);
  const high = Math.floor((Math.max(from, from + step) + 1e-9 * spacing) / spacing);
  for (let k = low; k <= high; k++) {
    const share = step === 0 ? 0 : (k * spacing - from) / step;
    const value = fromM + (toM - fromM) * share;
    const cell = ((k % grid.length) + grid.length) % grid.length;
    if (!(Math.abs(grid[cell]!) <= Math.abs(value))) grid[cell] = value;
  }
}

/** Fills short holes from the nearer side. */
function hold(offsets: Float64Array): Float64Array {
  const n = offsets.length;
  const out = offsets.slice();
  for (let i = 0; i < n; i++) {
    for (let reach = 1; reach <= HELD && Number.isNaN(out[i]!); reach++) {
      const [before, after] = [offsets[(i - reach + n) % n]!, offsets[(i + reach) % n]!];
      out[i] = Number.isNaN(before) ? after : before;
    }
  }
  return out;
}
