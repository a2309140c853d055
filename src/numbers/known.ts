/**
 * The values without NaN, in their order; the same array where there is none. A plain loop: `filter` with a function is
 * ten times slower.
 */
export function known(values: Float64Array): Float64Array {
  if (!values.includes(Number.NaN)) return values;
  const out = new Float64Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) if (!Number.isNaN(values[i]!)) out[count++] = values[i]!;
  return out.subarray(0, count);
}
