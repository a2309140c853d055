/**
 * Sample quantile with straight lines between the ordered values (type 7 of Hyndman & Fan, Am. Stat. 50 (1996) 361).
 *
 * @param values in any order; left as they are
 * @param p share below, 0 to 1
 * @returns NaN where there are no values or one is NaN
 */
export function quantile(values: ArrayLike<number>, p: number): number {
  const sorted = Float64Array.from(values).sort();
  // Sorting puts NaN last.
  if (sorted.length === 0 || Number.isNaN(sorted.at(-1)!)) return Number.NaN;
  const place = p * (sorted.length - 1);
  const below = Math.floor(place);
  const low = sorted[below]!;
  return place === below ? low : low + (place - below) * (sorted[below + 1]! - low);
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
