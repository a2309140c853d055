/**
 * How far each value lies from the median of those around it, itself among them. Away from the ends whatever only rises
 * or only falls lies nowhere off, and a burst shorter than half the window does not hide itself, as it does where
 * neighbours are averaged.
 *
 * @param value (m,) NaN entries are left out
 * @param reach how many values on each side, fewer where the row ends
 * @returns (m,) NaN where the value is
 */
export function offMedian(value: Float64Array, reach: number): Float64Array {
  const out = new Float64Array(value.length).fill(Number.NaN);
  const place = new Int32Array(value.length);
  const known = new Float64Array(value.length);
  let count = 0;
  for (let j = 0; j < value.length; j++) {
    if (Number.isNaN(value[j]!)) continue;
    place[count] = j;
    known[count++] = value[j]!;
  }
  // The window as a sorted list: one value in, one out, from step to step.
  const sorted = new Float64Array(Math.min(count, 2 * reach + 1));
  let size = 0;
  for (; size < Math.min(count, reach + 1); size++) put(sorted, size, known[size]!);
  for (let k = 0; k < count; k++) {
    if (k > 0) {
      const [comes, goes] = [k + reach, k - reach - 1];
      if (comes < count && goes >= 0) exchange(sorted, size, known[goes]!, known[comes]!);
      else if (comes < count) put(sorted, size++, known[comes]!);
      else if (goes >= 0) take(sorted, size--, known[goes]!);
    }
    out[place[k]!] = Math.abs(known[k]! - sorted[size >> 1]!);
  }
  return out;
}

/** Puts a value among the first `size` sorted ones. */
function put(sorted: Float64Array, size: number, value: number): void {
  let at = size;
  for (; at > 0 && sorted[at - 1]! > value; at--) sorted[at] = sorted[at - 1]!;
  sorted[at] = value;
}

/** Takes a value out of the first `size` sorted ones. */
function take(sorted: Float64Array, size: number, value: number): void {
  sorted.copyWithin(placeOf(sorted, size, value), placeOf(sorted, size, value) + 1, size);
}

/** Replaces one value by another: only those between the two move. */
function exchange(sorted: Float64Array, size: number, goes: number, comes: number): void {
  let at = placeOf(sorted, size, goes);
  for (; at + 1 < size && sorted[at + 1]! < comes; at++) sorted[at] = sorted[at + 1]!;
  for (; at > 0 && sorted[at - 1]! > comes; at--) sorted[at] = sorted[at - 1]!;
  sorted[at] = comes;
}

/** First place of a value that is there. */
function placeOf(sorted: Float64Array, size: number, value: number): number {
  let low = 0;
  let high = size;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle]! < value) low = middle + 1;
    else high = middle;
  }
  return low;
}
