/** The largest of the values, NaN left out; `least` where there is none larger. */
export function largest(values: ArrayLike<number>, least = 0): number {
  let most = least;
  for (let i = 0; i < values.length; i++) if (values[i]! > most) most = values[i]!;
  return most;
}
