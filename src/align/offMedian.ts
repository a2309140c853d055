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
    while (end <= Math.min(k + reach, known.length - 1)) take(end++);
    while (first < k - reach) drop(first++);
    out[known[k]!] = Math.abs(value[known[k]!]! - sorted[sorted.length >> 1]!);
  }
  return out;
}
