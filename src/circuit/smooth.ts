import {
  type RingCurve,
  type RingData,
  type RingSmoother,
  ringSmoother,
  ringValue,
} from '../numbers/periodicSmooth.ts';
import { mad, median } from '../numbers/quantile.ts';
import { type ClosedLine, closedLine, Foot, LinePoint, startAt } from './line.ts';
import { type BunchedLap, bunchUp, type Lap, wayRound } from './wayRound.ts';

export interface SmoothLine {
  /** Evenly spaced points, from beside the laps' first points on. */
  readonly eastM: Float64Array;
  readonly northM: Float64Array;
  /** Root mean square of the points' distances from the line. */
  readonly residualRmsM: number;
}

/** Spacing where none is asked for: a 1500th of the line, but no more than 2 m, which carries the tightest bend. */
const SPACING_SHARE = 1 / 1500;
const SPACING_M = 2;
/** Shares of the circuit's width: points put together for finding the way round, and how far the search looks. */
const BUNCH_SHARE = 1 / 300;
const SEARCH_SHARE = 1 / 15;
const ROUNDS = 6;
/** The line has settled when it moves by less than this share of the spacing. */
const SETTLED = 0.01;
/** One knot for two points; waves shorter than four knots are never followed, longer than an eighth of the lap always. */
const POINTS_PER_KNOT = 2;
const LEAST_CUTOFF_KNOTS = 4;
const LARGEST_CUTOFF = 1 / 8;
/** Ratio of the lengths of wave that are tried, and how much worse than the least score is still as good. */
const CUTOFF_STEP = 1.2;
const SCORE_SLACK = 1.005;
/** Points farther off than this many robust standard deviations count less. */
const FAR = 3 * 1.4826;

/**
 * One closed line through several laps of a rider.
 *
 * The laps are laid on the line so far, and a periodic penalised spline is put through all their points at those
 * stations, until the line no longer moves. It follows waves down to the longest length whose generalised
 * cross-validation score is within half a percent of the least: what the laps have in common stays, what points scatter
 * goes. Single points far off count less (Huber's weights).
 *
 * @param laps each in travel order, gate to gate, 1 to 200 Hz, noise up to about half a metre; they need not close
 * @param spacingM of the answer; by default a 1500th of the line, at most 2 m
 * @throws RangeError where the laps hold no four places apart, or do not go round
 */
export function smoothClosed(laps: readonly Lap[], spacingM?: number): SmoothLine {
  const width = extent(laps);
  const bunched = laps.map((lap) => bunchUp(lap, BUNCH_SHARE * width)).filter((one) => one.eastM.length >= 4);
  if (bunched.length === 0) throw new RangeError(`${laps.length} laps hold no four places apart`);
  let line = typicalLap(bunched);
  const spacingOf = (length: number): number => spacingM ?? Math.min(SPACING_M, SPACING_SHARE * length);
  const spacing = spacingOf(line.lengthM);
  const knots = Math.max(16, Math.round(line.lengthM / (POINTS_PER_KNOT * spacing)));
  let placed = place(line, bunched, SEARCH_SHARE * width);
  for (let round = 0; round < ROUNDS; round++) {
    const curve = bestCurve(ringSmoother(placed, knots), knots);
    const next = lineOf(curve, POINTS_PER_KNOT * knots);
    const moved = largestMove(line, next);
    line = next;
    placed = place(line, bunched, SEARCH_SHARE * width);
    if (moved < SETTLED * spacing) break;
  }
  return { ...evenly(startAt(line, start(line, bunched)), spacingOf(line.lengthM)), residualRmsM: rms(placed.offsetM) };
}

/** Longer side of the box around all points. */
function extent(laps: readonly Lap[]): number {
  let [west, south, east, north] = [1, 1, -1, -1].map((sign) => sign * Number.POSITIVE_INFINITY) as [
    number,
    number,
    number,
    number,
  ];
  for (const { eastM, northM } of laps) {
    for (let i = 0; i < eastM.length; i++) {
      if (Number.isNaN(eastM[i]! + northM[i]!)) continue;
      west = Math.min(west, eastM[i]!);
      east = Math.max(east, eastM[i]!);
      south = Math.min(south, northM[i]!);
      north = Math.max(north, northM[i]!);
    }
  }
  return Math.max(east - west, north - south, 0);
}

/** First guess: the lap of middle length, as it is. */
function typicalLap(bunched: readonly BunchedLap[]): ClosedLine {
  const lines = bunched.map(({ eastM, northM }) => closedLine(eastM, northM));
  const typical = median(lines.map((line) => line.lengthM));
  const far = (line: ClosedLine): number => Math.abs(line.lengthM - typical);
  return lines.reduce((best, line) => (far(line) < far(best) ? line : best));
}

/** All points of all laps on the line, weighed by how far off they are. */
function place(line: ClosedLine, bunched: readonly BunchedLap[], reachM: number): RingData & { offsetM: Float64Array } {
  const share: number[] = [];
  const east: number[] = [];
  const north: number[] = [];
  const offset: number[] = [];
  for (const one of bunched) {
    const { stationM, offsetM } = wayRound(line, one, reachM);
    for (let i = 0; i < stationM.length; i++) {
      if (Number.isNaN(stationM[i]!)) continue;
      share.push(stationM[i]! / line.lengthM);
      east.push(one.lap.eastM[i]!);
      north.push(one.lap.northM[i]!);
      offset.push(offsetM[i]!);
    }
  }
  if (share.length < 4) throw new RangeError('the laps do not go round the same way');
  const far = FAR * mad(offset);
  return {
    share: Float64Array.from(share),
    values: [Float64Array.from(east), Float64Array.from(north)],
    weight: Float64Array.from(offset, (m) => (Math.abs(m) > far ? far / Math.abs(m) : 1)),
    offsetM: Float64Array.from(offset),
  };
}

/** The smoothest curve that is as good as the best. */
function bestCurve(smoother: RingSmoother, knots: number): RingCurve {
  const cutoffs: number[] = [];
  const least = Math.min(LARGEST_CUTOFF, LEAST_CUTOFF_KNOTS / knots);
  for (let cutoff = least; cutoff <= LARGEST_CUTOFF * 1.0001; cutoff *= CUTOFF_STEP) cutoffs.push(cutoff);
  const scores = cutoffs.map(smoother.score);
  const limit = Math.min(...scores) * SCORE_SLACK;
  return smoother.smooth(cutoffs[scores.findLastIndex((score) => score <= limit)] ?? least);
}

function lineOf(curve: RingCurve, count: number): ClosedLine {
  const points = Array.from({ length: count }, (_, k) => ringValue(curve, k / count));
  return closedLine(
    points.map(([east]) => east!),
    points.map(([, north]) => north!),
  );
}

const point = (): LinePoint => new LinePoint();

/** How far the new line lies from the old one at most. */
function largestMove(before: ClosedLine, after: ClosedLine): number {
  const at = point();
  const foot = new Foot();
  let most = 0;
  for (let k = 0; k < after.points; k++) {
    after.at((k / after.points) * after.lengthM, at);
    before.foot(at.eastM, at.northM, foot.stationM, foot);
    most = Math.max(most, Math.abs(foot.offsetM));
  }
  return most;
}

/** Station beside the first points of the laps: the middle one, counted from that of the first lap. */
function start(line: ClosedLine, bunched: readonly BunchedLap[]): number {
  const near: Foot[] = [];
  const stations = bunched.flatMap(({ eastM, northM }) => {
    const course = Math.atan2(northM[1]! - northM[0]!, eastM[1]! - eastM[0]!);
    const count = line.candidates(eastM[0]!, northM[0]!, line.lengthM, near);
    const along = near.slice(0, count).filter((foot) => Math.cos(foot.headingRad - course) > 0);
    const [closest] = along.sort((a, b) => Math.abs(a.offsetM) - Math.abs(b.offsetM));
    return closest ? [closest.stationM] : [];
  });
  const first = stations[0] ?? 0;
  const away = stations.map((s) => s - first - line.lengthM * Math.round((s - first) / line.lengthM));
  return first + (away.length > 0 ? median(away) : 0);
}

function evenly(line: ClosedLine, spacing: number): { eastM: Float64Array; northM: Float64Array } {
  const count = Math.max(16, Math.round(line.lengthM / spacing));
  const [eastM, northM] = [new Float64Array(count), new Float64Array(count)];
  const at = point();
  for (let k = 0; k < count; k++) {
    line.at((k / count) * line.lengthM, at);
    eastM[k] = at.eastM;
    northM[k] = at.northM;
  }
  return { eastM, northM };
}

function rms(values: Float64Array): number {
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
}
