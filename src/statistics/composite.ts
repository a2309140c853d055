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
 * speed and place at the joint agree. The gate is a joint too: the lap ends as it began, or in the lap that it began with,
 * so that no lap starts faster than any could end. Sum of best sections <= composite <= best lap.
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
  let found: Path | null = null;
  laps.forEach((_, first) => {
    const path = from(laps, first, tolerance);
    if (path && (!found || path.timeS < found.timeS || (path.timeS === found.timeS && path.joins < found.joins)))
      found = path;
  });
  return found && { ...(found as Path), best: bestLap(laps), sumOfBestsS: sumOfBests(laps, sections) };
}

interface Path {
  readonly timeS: number;
  readonly laps: readonly number[];
  readonly joins: number;
}

/** The fastest way from the gate in one lap to the gate again; null where there is none. */
function from(laps: readonly SectionedLap[], first: number, tolerance: JointTolerance): Path | null {
  const sections = laps[0]!.sectionsS.length;
  let reached = laps.map((lap, k) => ({ timeS: k === first ? lap.sectionsS[0]! : Number.NaN, joins: 0 }));
  const ways: Int32Array[] = [];
  for (let joint = 1; joint < sections; joint++) {
    const came = new Int32Array(laps.length).fill(-1);
    reached = laps.map((lap, to) => {
      let best = { timeS: Number.NaN, joins: 0 };
      laps.forEach((other, k) => {
        if (k !== to && !rideable(other, joint, lap, joint, tolerance)) return;
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
    ways.push(came);
  }
  let end = -1;
  reached.forEach(({ timeS, joins }, k) => {
    if (Number.isNaN(timeS)) return;
    if (k !== first && !rideable(laps[k]!, sections, laps[first]!, 0, tolerance)) return;
    const best = reached[end];
    if (!best || timeS < best.timeS || (timeS === best.timeS && joins < best.joins)) end = k;
  });
  if (end < 0) return null;
  const path = new Array<number>(sections);
  for (let section = sections - 1, at = end; section >= 0; section--) {
    path[section] = at;
    if (section > 0) at = ways[section - 1]![at]!;
  }
  return { timeS: reached[end]!.timeS, laps: path, joins: reached[end]!.joins };
}

function rideable(
  left: SectionedLap,
  leftAt: number,
  entered: SectionedLap,
  enteredAt: number,
  tolerance: JointTolerance,
): boolean {
  return (
    Math.abs(left.speedsMps[leftAt]! - entered.speedsMps[enteredAt]!) <= tolerance.speedMps &&
    Math.abs(left.offsetsM[leftAt]! - entered.offsetsM[enteredAt]!) <= tolerance.offsetM
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
