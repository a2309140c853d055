import { type ClosedLine, Foot } from './line.ts';

/** Points of one lap in the order of travel, metres. */
export interface Lap {
  readonly eastM: Float64Array;
  readonly northM: Float64Array;
}

/** A lap with its points put together in bunches, so that noise and standstill do not look like direction. */
export interface BunchedLap {
  readonly lap: Lap;
  /** Bunch of each point; -1 where the point is not a number. */
  readonly bunch: Int32Array;
  /** Mean of each bunch. */
  readonly eastM: Float64Array;
  readonly northM: Float64Array;
}

/** Allowed scatter of direction (rad), and of advance as a share of the distance between bunches. */
const DIRECTION_RAD = 0.5;
const ADVANCE_SHARE = 0.3;

/** Puts points together that follow each other within `reachM` of the first of them. */
export function bunchUp(lap: Lap, reachM: number): BunchedLap {
  const bunch = new Int32Array(lap.eastM.length).fill(-1);
  const sums: { east: number; north: number; count: number }[] = [];
  let [fromEast, fromNorth] = [Number.NaN, Number.NaN];
  for (let i = 0; i < bunch.length; i++) {
    const [east, north] = [lap.eastM[i]!, lap.northM[i]!];
    if (Number.isNaN(east + north)) continue;
    if (!(Math.hypot(east - fromEast, north - fromNorth) < reachM)) {
      sums.push({ east: 0, north: 0, count: 0 });
      [fromEast, fromNorth] = [east, north];
    }
    const last = sums.at(-1)!;
    last.east += east;
    last.north += north;
    last.count++;
    bunch[i] = sums.length - 1;
  }
  return {
    lap,
    bunch,
    eastM: Float64Array.from(sums, ({ east, count }) => east / count),
    northM: Float64Array.from(sums, ({ north, count }) => north / count),
  };
}

interface Step {
  readonly foot: Foot;
  readonly cost: number;
  readonly before: Step | null;
}

/**
 * Feet of every point of a lap on the line: the bunches take the cheapest way round among all feet within reach
 * (distance from the line, direction against the line's, advance against the distance ridden), the points follow.
 *
 * @returns station and offset of each point; NaN where a bunch has no foot within `reachM`
 */
export function wayRound(
  line: ClosedLine,
  { lap, bunch, eastM, northM }: BunchedLap,
  reachM: number,
): { stationM: Float64Array; offsetM: Float64Array } {
  const n = eastM.length;
  const near: Foot[] = [];
  const chosen: (Foot | null)[] = new Array(n).fill(null);
  let open: Step[] = [];
  let openBunch = -1;
  const steps: { bunch: number; ways: Step[] }[] = [];
  for (let b = 0; b < n; b++) {
    const count = line.candidates(eastM[b]!, northM[b]!, reachM, near);
    if (count === 0) continue;
    const [behind, ahead] = [Math.max(0, b - 1), Math.min(n - 1, b + 1)];
    const course = Math.atan2(northM[ahead]! - northM[behind]!, eastM[ahead]! - eastM[behind]!);
    const ridden = openBunch < 0 ? 0 : Math.hypot(eastM[b]! - eastM[openBunch]!, northM[b]! - northM[openBunch]!);
    const ways = near.slice(0, count).map((candidate): Step => {
      const foot = { ...candidate };
      const turn = Math.sin((foot.headingRad - course) / 2) * 2;
      const own = (foot.offsetM / (reachM / 5)) ** 2 + (turn / DIRECTION_RAD) ** 2;
      let best: Step | null = null;
      let least = openBunch < 0 ? 0 : Number.POSITIVE_INFINITY;
      for (const step of open) {
        const difference = foot.stationM - step.foot.stationM;
        const advance = difference - line.lengthM * Math.round(difference / line.lengthM);
        const cost = step.cost + ((advance - ridden) / (ADVANCE_SHARE * ridden + reachM / 20)) ** 2;
        if (cost < least) [least, best] = [cost, step];
      }
      return { foot, cost: least + own, before: best };
    });
    steps.push({ bunch: b, ways });
    open = ways;
    openBunch = b;
  }
  let step: Step | null = open.reduce<Step | null>((best, one) => (best && best.cost <= one.cost ? best : one), null);
  for (let k = steps.length - 1; k >= 0 && step; k--) {
    chosen[steps[k]!.bunch] = step.foot;
    step = step.before;
  }

  const stationM = new Float64Array(bunch.length).fill(Number.NaN);
  const offsetM = stationM.slice();
  const foot = new Foot();
  for (let i = 0; i < bunch.length; i++) {
    const start = bunch[i]! < 0 ? null : chosen[bunch[i]!]!;
    if (!start) continue;
    line.foot(lap.eastM[i]!, lap.northM[i]!, start.stationM, foot);
    stationM[i] = foot.stationM;
    offsetM[i] = foot.offsetM;
  }
  return { stationM, offsetM };
}
