import { type Component, type Fit, predictive } from './predictive.ts';
import { type Shape, shapes } from './shapes.ts';

/**
 * Kinds of learning curve that a forecast mixes. `level` wanders without a direction: no progress to be counted on.
 * `relative` falls by shares of what is left, and scatters by shares of it too.
 */
export const FAMILIES = ['exponential', 'power', 'line', 'level', 'relative'] as const;
export type Family = (typeof FAMILIES)[number];

/** How much a curve may leave its own way in a week, as variance over that of one session. Never not at all: a curve that
 * must be followed exactly is far too sure of itself where the truth is another. */
const WANDERS = [0.05, 0.25, 1, 4];
const LEVEL_WANDERS = [0.1, 0.6, 3, 12, 60];

/**
 * What one family foretells of a later session, as a mixture over its shapes and over how much it wanders, weighted by how
 * well each explains the sessions so far.
 *
 * @param weeks of the sessions, rising
 * @param values their median gaps, s
 * @param bound least gap that physics allows, s: no curve levels out below it
 * @param at later times
 * @returns one mixture for each of `at`; empty ones where there are too few sessions
 */
export function foretell(
  family: Family,
  weeks: readonly number[],
  values: readonly number[],
  bound: number,
  at: readonly number[],
): Component[][] {
  const since = weeks.map((week) => week - weeks[0]!);
  const span = since.at(-1)!;
  if (family === 'relative')
    return foretellShares(
      since,
      values,
      bound,
      at.map((week) => week - weeks[0]!),
    );
  const ways =
    family === 'level'
      ? LEVEL_WANDERS.map((wander) => levelWay(since, values, wander))
      : shapes(span)
          .filter((shape) => shape.family === family)
          .flatMap((shape) => WANDERS.map((wander) => curveWay(shape, since, values, bound, wander)));
  const usable = ways.filter((way): way is Way => way !== null);
  const best = Math.max(...usable.map(({ fit }) => fit.score));
  return at.map((week) =>
    usable.map(({ fit, row, offset }) => {
      const { mean, scale, df } = fit.predict(week - weeks[0]!, row(week - weeks[0]!));
      return { weight: Math.exp(fit.score - best), mean: Math.max(bound, mean + offset), scale, df };
    }),
  );
}

/** Columns of the logarithm of what is left: by equal shares in equal times, by the power law of practice, or none. */
const SHARES: readonly ((weeks: number) => number[])[] = [
  (weeks) => [1, weeks],
  (weeks) => [1, Math.log(weeks + 1)],
  () => [1],
];

/** Empty mixtures where a session was at the bound or below it. */
function foretellShares(
  since: readonly number[],
  values: readonly number[],
  bound: number,
  at: readonly number[],
): Component[][] {
  if (!Number.isFinite(bound) || values.some((value) => value <= bound)) return at.map(() => []);
  const heights = values.map((value) => Math.log(value - bound));
  const ways = SHARES.flatMap((row) =>
    WANDERS.flatMap((wander) => {
      const fit = predictive(since, heights, since.map(row), wander);
      // What grows is no learning; the level stands for that.
      return fit && !((fit.coefficients[1] ?? 0) > 0) ? [{ fit, row }] : [];
    }),
  );
  const best = Math.max(...ways.map(({ fit }) => fit.score));
  return at.map((week) =>
    ways.map(({ fit, row }) => ({
      weight: Math.exp(fit.score - best),
      ...fit.predict(week, row(week)),
      logAbove: bound,
    })),
  );
}

interface Way {
  readonly fit: Fit;
  readonly row: (weeks: number) => number[];
  readonly offset: number;
}

function levelWay(since: readonly number[], values: readonly number[], wander: number): Way | null {
  const fit = predictive(
    since,
    values,
    since.map(() => [1]),
    wander,
  );
  return fit && { fit, row: () => [1], offset: 0 };
}

/** Level and curve; where that would level out below the bound, the curve alone above it; where it would rise, nothing. */
function curveWay(
  shape: Shape,
  since: readonly number[],
  values: readonly number[],
  bound: number,
  wander: number,
): Way | null {
  const row = (weeks: number): number[] => [1, shape.at(weeks)];
  const fit = predictive(since, values, since.map(row), wander);
  if (!fit) return null;
  const [level, height] = fit.coefficients as [number, number];
  if (height < 0) return levelWay(since, values, wander);
  // A line goes on until it meets the bound; its level means nothing.
  if (shape.family === 'line' || level >= bound) return { fit, row, offset: 0 };
  const alone = (weeks: number): number[] => [shape.at(weeks)];
  const bounded = predictive(
    since,
    values.map((value) => value - bound),
    since.map(alone),
    wander,
  );
  return bounded && { fit: bounded, row: alone, offset: bound };
}
