/** The values at the given places, in their order. A plain loop: `Float64Array.from` with a function is ten times slower. */
export function gather(values: Float64Array, places: ArrayLike<number>): Float64Array {
  const out = new Float64Array(places.length);
  for (let i = 0; i < out.length; i++) out[i] = values[places[i]!]!;
  return out;
}
