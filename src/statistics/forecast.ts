import { mean } from '../numbers/moments.ts';
import { studentQuantile } from './distributions.ts';
import type { Interval } from './interval.ts';
import { FAMILIES, type Family, foretell } from './learning.ts';
import { type Component, mixtureBelow, mixtureDensity, mixtureQuantile } from './predictive.ts';

/** Median gap of one session. */
export interface GapPoint {
  readonly weeks: number;
  readonly gapS: number;
}

export interface Foretold {
  readonly weeks: number;
  readonly medianS: number;
  /** 80 % interval of the median gap of a session at that time, not of the curve. */
  readonly interval: Interval;
}

export interface Forecast {
  /** Number of different weeks with a session. */
  readonly effectiveWeeks: number;
  /** One for each time asked for. */
  readonly fan: readonly Foretold[];
  readonly weights: Readonly<Record<Family, number>>;
  /** How this way of forecasting, and the last value as its rival, fared on this campaign's own past. */
  readonly record: TrackRecord;
  /** Chance that a session at `weeks` has a gap of at most `targetS`. */
  readonly chance: (weeks: number, targetS: number) => number;
}

export interface TrackRecord {
  readonly forecasts: number;
  /** Share of past 80 % intervals that held the value; null without forecasts. */
  readonly held: number | null;
  /** Mean interval scores, s: width plus ten times what was missed by. Lower is better. */
  readonly score: number | null;
  readonly persistenceScore: number | null;
}

const LEVEL = 0.8;
const FEWEST_WEEKS = 5;
/** Sessions that a family must have seen before it is scored. */
const SCORED_FROM = 3;
/** Sessions ahead that it is scored on, each time. */
const SCORED_LEADS = 4;
/** Share of the weight that is dealt out equally whatever the scores say, as a few weeks of scores tell little. */
const EQUAL = 0.15;

/**
 * Gap of later sessions, from a mixture of learning curves weighted by how well each foretold this campaign so far.
 *
 * @param points in order of time; only those since the last step should be given
 * @param at times asked for, weeks, after the last point
 * @param bound least gap that physics allows, s (0: as fast as the reference; below 0 where a lap-time optimum says so)
 * @returns null under five weeks of data: no forecast
 *
 * Source: pooling by past log scores, Hall & Mitchell, Int. J. Forecast. 23 (2007) 1; interval score, Gneiting & Raftery,
 * J. Am. Stat. Assoc. 102 (2007) 359, 6.2.
 */
export function forecast(points: readonly GapPoint[], at: readonly number[], bound = 0): Forecast | null {
  if (effectiveWeeks(points) < FEWEST_WEEKS) return null;
  const scores = familyScores(points, bound);
  const weights = familyWeights(scores, points.length);
  return {
    effectiveWeeks: effectiveWeeks(points),
    fan: mixtures(points, weights, at, bound).map((parts, i) => foretoldAt(at[i]!, parts, bound)),
    weights,
    record: trackRecord(points, scores, Math.max(0, ...at) - points.at(-1)!.weeks, bound),
    chance: (weeks, targetS) =>
      targetS < bound ? 0 : mixtureBelow(mixtures(points, weights, [weeks], bound)[0]!, targetS),
  };
}

const effectiveWeeks = (points: readonly GapPoint[]): number =>
  new Set(points.map(({ weeks }) => Math.floor(weeks - points[0]!.weeks + 1e-9))).size;

type Weights = Readonly<Record<Family, number>>;

const foretellFrom = (family: Family, points: readonly GapPoint[], at: readonly number[], bound: number) =>
  foretell(
    family,
    points.map(({ weeks }) => weeks),
    points.map(({ gapS }) => gapS),
    bound,
    at,
  ).map(lightened);

/** One mixture over all families for each time. */
function mixtures(points: readonly GapPoint[], weights: Weights, at: readonly number[], bound: number): Component[][] {
  const parts: Component[][] = at.map(() => []);
  for (const family of FAMILIES)
    foretellFrom(family, points, at, bound).forEach((mixture, i) => {
      const total = mixture.reduce((sum, { weight }) => sum + weight, 0);
      parts[i]!.push(...mixture.map((part) => ({ ...part, weight: (weights[family] * part.weight) / total })));
    });
  return parts.map(lightened);
}

/** Without the parts that make no difference. */
const lightened = (parts: readonly Component[]): Component[] => parts.filter(({ weight }) => weight > 1e-4);

/** What a mixture has below the bound lies on it. */
function foretoldAt(weeks: number, parts: readonly Component[], bound: number): Foretold {
  const [low, medianS, high] = [(1 - LEVEL) / 2, 0.5, (1 + LEVEL) / 2].map((p) =>
    Math.max(bound, mixtureQuantile(parts, p)),
  );
  return { weeks, medianS: medianS!, interval: { low: low!, high: high!, level: LEVEL } };
}

/** Log density that each family gave to the sessions after each session: `scores[family][from][lead]`. */
function familyScores(points: readonly GapPoint[], bound: number): number[][][] {
  return FAMILIES.map((family) =>
    points.map((_, from) => {
      if (from < SCORED_FROM) return [];
      const later = points.slice(from, from + SCORED_LEADS);
      const made = foretellFrom(
        family,
        points.slice(0, from),
        later.map(({ weeks }) => weeks),
        bound,
      );
      return later.map(({ gapS }, lead) => {
        const parts = made[lead]!;
        return Math.log(parts.length > 0 ? Math.max(mixtureDensity(parts, gapS), 1e-6) : 1e-6);
      });
    }),
  );
}

/** Weights as they stand after the first `known` sessions. */
function familyWeights(scores: readonly (readonly (readonly number[])[])[], known: number): Weights {
  const sums = scores.map((family) =>
    family.slice(0, known).reduce((sum, leads, from) => {
      const seen = leads.slice(0, known - from);
      return seen.length > 0 ? sum + mean(seen) : sum;
    }, 0),
  );
  const best = Math.max(...sums);
  const raw = sums.map((sum) => Math.exp(sum - best));
  const total = raw.reduce((s, v) => s + v, 0);
  const weight = (i: number): number => EQUAL / FAMILIES.length + ((1 - EQUAL) * raw[i]!) / total;
  return Object.fromEntries(FAMILIES.map((family, i) => [family, weight(i)])) as Weights;
}

/**
 * The rival: the last value, with the scatter of the steps between sessions growing with the root of time.
 *
 * @param points at least two
 * @returns 80 % interval
 */
export function persistence(points: readonly GapPoint[], weeks: number): Interval {
  const last = points.at(-1)!;
  const changes = points
    .slice(1)
    .map((p, i) => (p.gapS - points[i]!.gapS) ** 2 / Math.max(p.weeks - points[i]!.weeks, 1e-6));
  const perWeek = Math.sqrt(changes.reduce((s, v) => s + v, 0) / changes.length);
  const reach = studentQuantile((1 + LEVEL) / 2, changes.length) * perWeek * Math.sqrt(weeks - last.weeks);
  return { low: last.gapS - reach, high: last.gapS + reach, level: LEVEL };
}

/** Width, plus the amount missed by, times 2 over the share that may be missed. Lower is better; same unit as the value. */
export function intervalScore({ low, high, level }: Interval, value: number): number {
  return high - low + (2 / (1 - level)) * (Math.max(0, low - value) + Math.max(0, value - high));
}

function trackRecord(
  points: readonly GapPoint[],
  scores: readonly (readonly (readonly number[])[])[],
  horizonWeeks: number,
  bound: number,
): TrackRecord {
  const results: { held: boolean; score: number; rival: number }[] = [];
  for (let from = FEWEST_WEEKS; from < points.length; from++) {
    const past = points.slice(0, from);
    const later = points.slice(from).filter(({ weeks }) => weeks - past.at(-1)!.weeks <= horizonWeeks + 1e-9);
    if (effectiveWeeks(past) < FEWEST_WEEKS) continue;
    const made = mixtures(
      past,
      familyWeights(scores, from),
      later.map(({ weeks }) => weeks),
      bound,
    );
    later.forEach(({ weeks, gapS }, i) => {
      const { interval } = foretoldAt(weeks, made[i]!, bound);
      results.push({
        held: interval.low <= gapS && gapS <= interval.high,
        score: intervalScore(interval, gapS),
        rival: intervalScore(persistence(past, weeks), gapS),
      });
    });
  }
  const average = (of: (r: (typeof results)[number]) => number): number | null =>
    results.length === 0 ? null : mean(results.map(of));
  return {
    forecasts: results.length,
    held: average(({ held }) => (held ? 1 : 0)),
    score: average(({ score }) => score),
    persistenceScore: average(({ rival }) => rival),
  };
}
