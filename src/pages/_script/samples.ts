import { keptPoints, type Packed, unpacked } from '../../report/packed.ts';

/** A curve over stations, read between its samples. */
export interface Samples {
  readonly stationM: Float64Array;
  readonly value: Float64Array;
  /** NaN where the curve has a hole. */
  at(stationM: number): number;
}

/** The curve that a page carries packed; null where it carries none. */
export function samples(
  curve: Packed,
  grid: { readonly steps: number; readonly stepM: number },
  scale: number,
): Samples | null {
  const value = unpacked(curve, scale);
  if (value.length < 2) return null;
  const stationM = Float64Array.from(keptPoints(grid.steps, value.length - 1), (point) => point * grid.stepM);
  return { stationM, value, at: (s) => between(stationM, value, s) };
}

/** Linear between samples; the ends hold beyond them. */
export function between(stationM: Float64Array, value: Float64Array, s: number): number {
  const last = stationM.length - 1;
  if (s <= stationM[0]!) return value[0]!;
  if (s >= stationM[last]!) return value[last]!;
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (stationM[middle]! <= s) low = middle;
    else high = middle;
  }
  const t = (s - stationM[low]!) / (stationM[high]! - stationM[low]!);
  return t === 0 ? value[low]! : value[low]! + t * (value[high]! - value[low]!);
}
