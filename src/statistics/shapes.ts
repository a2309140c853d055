/** A shape that a learning curve may have, of which the curve is a multiple above its bottom. */
export interface Shape {
  readonly family: 'exponential' | 'power' | 'line';
  /** Height at a time since the first session: 1 at the start, falling. */
  at(weeks: number): number;
  /** How the height changes with the shape's own parameter, up to a factor; null for the line, which has none. */
  readonly change: ((weeks: number) => number) | null;
}

/**
 * Shapes of learning curves over `spanWeeks`: exponentials from quick to slow, powers, and a straight line (which falls on
 * below 0). With `change` beside `at` the few of them stand for all between.
 *
 * @param spanWeeks from the first to the last session, > 0
 *
 * Source: exponential and power laws of practice, Heathcote, Brown & Mewhort, Psychon. Bull. Rev. 7 (2000) 185.
 */
export function shapes(spanWeeks: number): Shape[] {
  const exponential = (share: number): Shape => {
    const tau = share * spanWeeks;
    return {
      family: 'exponential',
      at: (weeks) => Math.exp(-weeks / tau),
      change: (weeks) => (weeks / tau) * Math.exp(-weeks / tau),
    };
  };
  const power = (exponent: number): Shape => ({
    family: 'power',
    at: (weeks) => (weeks + 1) ** -exponent,
    change: (weeks) => Math.log(weeks + 1) * (weeks + 1) ** -exponent,
  });
  return [
    ...[0.1, 0.18, 0.32, 0.6, 1.2].map(exponential),
    ...[0.3, 0.7, 1.3].map(power),
    { family: 'line', at: (weeks) => 1 - weeks / spanWeeks, change: null },
  ];
}
