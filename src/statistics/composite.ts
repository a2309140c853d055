/** One lap cut at the same joints as all others: section i runs from joint i to joint i + 1. */
export interface SectionedLap {
  /** (sections,) seconds; NaN where the section was not ridden or does not count. */
  readonly sectionsS: readonly number[];
  /** (sections + 1,) speed at each joint; the first and last are the gate. */
  readonly speedsMps: readonly number[];
  /** (sections + 1,) offset from the reference line at each joint, left positive. */
  readonly offsetsM: readonly number[];
}

/** What two laps may differ by at a joint so that one can be ridden on as the other. */
export interface JointTolerance {
  readonly speedMps: number;
  readonly offsetM: number;
}

const TOLERANCE: JointTolerance = { speedMps: 0.5, offsetM: 0.3 };

export interface Composite {
  readonly timeS: number;
  /** (sections,) index of the lap that each section was ridden in. */
  readonly laps: readonly number[];
  readonly joins: number;
  /** Best whole lap, index and time; null where no lap is complete. */
  readonly best: { readonly lap: number; readonly timeS: number } | null;
  /** Sum of the best sections, rideable or not: never above the composite. */
  readonly sumOfBestsS: number;
}

/**
 * The fastest lap that could be put together from sections that were ridden, changing from one lap to another only where
 * speed and place at the joint agree. Sum of best sections <= composite <= best lap.
 *
 * @param laps all with the same joints, at least one section
 * @returns null where no lap and no rideable composite reaches the last joint
 *
 * Method: shortest path over (lap, section), one section after the other (Bellman, Q. Appl. Math. 16 (1958) 87). Of equal
 * times the one with fewer joins, then the earlier lap, is taken.
 */
export function composite(laps: readonly SectionedLap[], tolerance: JointTolerance = TOLERANCE): Composite | null {
  const sections = laps[0]?.sectionsS.length ?? 0;
  if (sections === 0) return null;
  let reached = laps.map((lap) => ({ timeS: lap.sectionsS[0]!, joins: 0 }));
  const from: Int32Array[] = [];
  for (let joint = 1; joint < sections; joint++) {
    const came = new Int32Array(laps.length).fill(-1);
    reached = laps.map((lap, to) => {
      let best = { timeS: Number.NaN, joins: 0 };
      laps.forEach((other, k) => {
        if (k !== to && !rideable(other, lap, joint, tolerance)) return;
        const { timeS, joins } = reached[k]!;
        const way = { timeS, joins: joins + (k === to ? 0 : 1) };
        // A NaN time never wins and always loses.
        if (
          way.timeS < best.timeS ||
          (way.timeS === best.timeS && way.joins < best.joins) ||
          (Number.isNaN(best.timeS) && !Number.isNaN(timeS))
        ) {
          best = way;
          came[to] = k;
        }
      });
      return { timeS: best.timeS + lap.sectionsS[joint]!, joins: best.joins };
    });
    from.push(came);
  }
  let end = -1;
  reached.forEach(({ timeS, joins }, k) => {
    if (Number.isNaN(timeS)) return;
    const best = reached[end];
    if (!best || timeS < best.timeS || (timeS === best.timeS && joins < best.joins)) end = k;
  });
  if (end < 0) return null;
  const path = new Array<number>(sections);
  for (let section = sections - 1, at = end; section >= 0; section--) {
    path[section] = at;
    if (section > 0) at = from[section - 1]![at]!;
  }
  return {
    timeS: reached[end]!.timeS,
    laps: path,
    joins: reached[end]!.joins,
    best: bestLap(laps),
    sumOfBestsS: sumOfBests(laps, sections),
  };
}

function rideable(left: SectionedLap, entered: SectionedLap, joint: number, tolerance: JointTolerance): boolean {
  return (
    Math.abs(left.speedsMps[joint]! - entered.speedsMps[joint]!) <= tolerance.speedMps &&
    Math.abs(left.offsetsM[joint]! - entered.offsetsM[joint]!) <= tolerance.offsetM
  );
}

function bestLap(laps: readonly SectionedLap[]): Composite['best'] {
  let best: Composite['best'] = null;
  laps.forEach(({ sectionsS }, lap) => {
    const timeS = sectionsS.reduce((sum, section) => sum + section, 0);
    if (timeS < (best?.timeS ?? Number.POSITIVE_INFINITY)) best = { lap, timeS };
  });
  return best;
}

function sumOfBests(laps: readonly SectionedLap[], sections: number): number {
  let sum = 0;
  for (let section = 0; section < sections; section++)
    sum += Math.min(...laps.map((lap) => lap.sectionsS[section]!).filter((timeS) => !Number.isNaN(timeS)));
  return sum;
}
