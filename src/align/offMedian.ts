/**
 * How far each value lies from the median of those around it: as many before as after, fewer near the ends. Whatever
 * only rises or only falls lies nowhere off, and a burst shorter than half the window does not hide itself, as it does
 * where neighbours are averaged.
 *
 * @param value (m,) NaN entries are left out
 * @param reach how many values on each side
 * @returns (m,) NaN where the value is
 */
export function offMedian(value: Float64Array, reach: number): Float64Array {
  const known: number[] = [];
  for (let j = 0; j < value.length; j++) if (!Number.isNaN(value[j]!)) known.push(j);
  const out = new Float64Array(value.length).fill(Number.NaN);
  // The window as a sorted list: one value in, one out, from step to step.
  const sorted: number[] = [];
  const place = (v: number): number => {
    let low = 0;
    let high = sorted.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (sorted[middle]! < v) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  const take = (k: number): void => void sorted.splice(place(value[known[k]!]!), 0, value[known[k]!]!);
  const drop = (k: number): void => void sorted.splice(place(value[known[k]!]!), 1);
  let first = 0;
  let end = 0;
  for (let k = 0; k < known.length; k++) {
    const side = Math.min(reach, k, known.length - 1 - k);
    while (end <= k + side) take(end++);
    while (end > k + side + 1) drop(--end);
    while (first < k - side) drop(first++);
    while (first > k - side) take(--first);
    out[known[k]!] = Math.abs(value[known[k]!]! - sorted[side]!);
  }
  return out;
}
