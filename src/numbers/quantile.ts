/**
 * Sample quantile with straight lines between the ordered values (type 7 of Hyndman & Fan, Am. Stat. 50 (1996) 361).
 *
 * @param values in any order; left as they are
 * @param p share below, 0 to 1
 * @returns NaN where there are no values or one is NaN
 */
export function quantile(values: ArrayLike<number>, p: number): number {
  const rest = copied(values);
  const n = rest.length;
  if (n === 0) return Number.NaN;
  for (let i = 0; i < n; i++) if (Number.isNaN(rest[i]!)) return Number.NaN;
  const place = p * (n - 1);
  const below = Math.floor(place);
  const low = selected(rest, below);
  if (place === below) return low;
  let next = Number.POSITIVE_INFINITY;
  for (let i = below + 1; i < n; i++) if (rest[i]! < next) next = rest[i]!;
  return low + (place - below) * (next - low);
}

/** The value that sorting would put at a place; `values` are left as they are and hold no NaN. */
export function ranked(values: Float64Array, place: number): number {
  return selected(copied(values), place);
}

/** Room that every call puts its values in order in: fresh memory costs more than the work on it. */
let room = new Float64Array(1024);

/** The values in a place where they may be moved, good until the next call. */
function copied(values: ArrayLike<number>): Float64Array {
  if (room.length < values.length) room = new Float64Array(2 * values.length);
  const copy = room.subarray(0, values.length);
  copy.set(values);
  return copy;
}

/**
 * The value that sorting would put at a place, without sorting: linear in the number of values. What lies behind the
 * place afterwards is not less. (Hoare, Comm. ACM 4 (1961) 321, the middle one of three as pivot.)
 */
function selected(values: Float64Array, place: number): number {
  let left = 0;
  let right = values.length - 1;
  while (left < right) {
    const [a, b, c] = [values[left]!, values[(left + right) >> 1]!, values[right]!];
    const pivot = Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
    let i = left;
    let j = right;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i > j) break;
      const held = values[i]!;
      values[i++] = values[j]!;
      values[j--] = held;
    }
    if (place <= j) right = j;
    else if (place >= i) left = i;
    else break;
  }
  return values[place]!;
}

/** Middle value, or the mean of the two middle ones. NaN where there are no values or one is NaN. */
export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5);
}

/**
 * Median of the absolute distances from the median, not scaled; times 1.4826 it estimates the standard deviation of a
 * normal sample. NaN where there are no values or one is NaN.
 */
export function mad(values: ArrayLike<number>): number {
  const middle = median(values);
  return median(Float64Array.from(values, (value) => Math.abs(value - middle)));
}
