/**
 * Order of runs of several versions in which a steady drift of the day (tyres, fuel, temperature) weighs on all alike:
 * forwards and backwards in turn, beginning with another version each time.
 *
 * @param versions at least two
 * @param each runs of each version
 * @returns as many as versions times `each`; for an even `each` the mean place of every version in the day is the same
 *
 * Example: orderOfRuns(['A', 'B'], 4) is A B B A B A A B.
 * Source: systematic balanced orders against trends, Cox, Biometrika 38 (1951) 312.
 */
export function orderOfRuns(versions: readonly string[], each: number): string[] {
  if (versions.length < 2) return [];
  const order: string[] = [];
  for (let block = 0; block < each; block++) {
    const first = Math.floor(block / 2) % versions.length;
    const turned = [...versions.slice(first), ...versions.slice(0, first)];
    order.push(...(block % 2 === 0 ? turned : turned.toReversed()));
  }
  return order;
}
