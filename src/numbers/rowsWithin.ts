/** Index range [first, end) of the rising values within [from, to]. */
export function rowsWithin(rising: Float64Array, from: number, to: number): [number, number] {
  return [bound(rising, from, false), bound(rising, to, true)];
}

/** How many of the values are below a limit, or, where `above`, not above it. */
function bound(rising: Float64Array, limit: number, above: boolean): number {
  let low = 0;
  let high = rising.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (rising[middle]! < limit || (above && rising[middle]! === limit)) low = middle + 1;
    else high = middle;
  }
  return low;
}
