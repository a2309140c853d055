import type { ClosedLine, Foot } from '../circuit/line.ts';
import type { Fixes } from '../laps/trace.ts';

/** Where each fix lies on the line. Entries are NaN where a fix has no believable place. */
export interface Path {
  /** (m,) station, unwrapped: it keeps rising from lap to lap. */
  readonly stationM: Float64Array;
  /** (m,) left positive. */
  readonly offsetM: Float64Array;
  /** (m,) curvature of the line there. */
  readonly curvaturePerM: Float64Array;
  /** Fixes at which the path was taken up anew instead of followed, with the jump against what was ridden, m. */
  readonly restarts: readonly { readonly fix: number; readonly jumpM: number }[];
}

/** One standard deviation of the difference of travel and line direction, rad. */
const HEADING_SIGMA_RAD = 0.35;
/** Share by which path along the line may differ from distance ridden. */
const ADVANCE_SIGMA = 0.08;
/** Share by which the turn of the line between two feet says how much way the bend adds. */
const BEND_SIGMA = 0.25;
/** Cost of leaving a fix out, and of taking the path up anew, in squared standard deviations. */
const SKIP_COST = 40;
const RESTART_COST = 250;
/** Fixes closer in time than this are off in the same way: each counts for its share, a fast receiver's not below a least. */
const INDEPENDENT_S = 0.1;
const LEAST_WEIGHT = 0.25;
/** States this much dearer than the best are dropped, and at most so many of earlier fixes are kept. */
const PRUNE = 600;
const CARRY = 4;

interface State {
  node: number;
  cost: number;
}

/**
 * Finds the run's path along the line: of all sequences of local foot points, the one that agrees best with distance
 * from the line, direction of travel, and distance ridden between fixes. A nearest point alone fails where two limbs
 * lie close together, where the line crosses itself, in a pit lane, at standstill and on single wild fixes.
 *
 * Dynamic programming over candidates (Viterbi); a fix may be left out at a cost, and the path may be taken up anew
 * (after a visit to the paddock) at a higher one.
 *
 * @param courseRad (m,) direction of travel at each fix; NaN where it has none
 * @param riddenM (m,) distance ridden up to each fix
 * @param radiusM how far from the line a fix may lie
 * @param lateralSigmaM how far from the line riders usually are
 */
export function pathAlong(
  line: ClosedLine,
  fixes: Fixes,
  courseRad: Float64Array,
  riddenM: Float64Array,
  radiusM: number,
  lateralSigmaM: number,
): Path {
  const m = fixes.timeS.length;
  const length = line.lengthM;
  const feet: Foot[] = [];
  let capacity = 2 * m + 16;
  let count = 0;
  let fixOf = new Int32Array(capacity);
  let previous = new Int32Array(capacity);
  let station = new Float64Array(capacity);
  let offset = new Float64Array(capacity);
  let curvature = new Float64Array(capacity);
  let heading = new Float64Array(capacity);
  let fresh = new Uint8Array(capacity);
  const grow = (): void => {
    capacity *= 2;
    fixOf = widen(fixOf, Int32Array, capacity);
    previous = widen(previous, Int32Array, capacity);
    station = widen(station, Float64Array, capacity);
    offset = widen(offset, Float64Array, capacity);
    curvature = widen(curvature, Float64Array, capacity);
    heading = widen(heading, Float64Array, capacity);
    fresh = widen(fresh, Uint8Array, capacity);
  };

  let states: State[] = [];
  for (let i = 0; i < m; i++) {
    const found = line.candidates(fixes.eastM[i]!, fixes.northM[i]!, radiusM, feet);
    const cheapest = cheapestOf(states);
    const restart = states.length === 0 ? 0 : RESTART_COST;
    const next: State[] = [];
    const sinceS = i > 0 ? fixes.timeS[i]! - fixes.timeS[i - 1]! : INDEPENDENT_S;
    const weight = Math.min(1, Math.max(LEAST_WEIGHT, sinceS / INDEPENDENT_S));
    for (let k = 0; k < found; k++) {
      const foot = feet[k]!;
      const turn = (turnBetween(courseRad[i]!, foot.headingRad) || 0) / HEADING_SIGMA_RAD;
      const own = weight * ((foot.offsetM / lateralSigmaM) ** 2 + turn * turn);
      let best = restart;
      let from = -1;
      for (const s of states) {
        const j = fixOf[s.node]!;
        const ridden = riddenM[i]! - riddenM[j]!;
        const step = wrapNear(foot.stationM - station[s.node]!, ridden, length);
        // ∫(1 − nκ) ds is the way ridden: with the turn of the line between the feet it has no pole on the inside of a
        // tight bend, where a small step to the side is a long one along the line.
        const bend = 0.5 * (foot.offsetM + offset[s.node]!) * turnBetween(foot.headingRad, heading[s.node]!);
        const spread =
          2 * (fixes.sigmaM[i]! + fixes.sigmaM[j]!) +
          0.02 * lateralSigmaM +
          ADVANCE_SIGMA * ridden +
          BEND_SIGMA * Math.abs(bend);
        // Drift and noise may carry a place back a little; a ride does not go back.
        const back = Math.max(0, -step - 3 * (fixes.sigmaM[i]! + fixes.sigmaM[j]!)) / (0.02 * lateralSigmaM);
        const cost = s.cost + ((step - bend - ridden) / spread) ** 2 + Math.min(back * back, SKIP_COST);
        if (cost < best) {
          best = cost;
          from = s.node;
        }
      }
      if (count === capacity) grow();
      fixOf[count] = i;
      station[count] = foot.stationM;
      offset[count] = foot.offsetM;
      curvature[count] = foot.curvaturePerM;
      heading[count] = foot.headingRad;
      // Taken up anew: the chain behind it is the cheapest one so far.
      fresh[count] = from === -1 && states.length > 0 ? 1 : 0;
      previous[count] = from !== -1 ? from : cheapest;
      next.push({ node: count, cost: best + own });
      count++;
    }
    states = pruned(next, states, weight * SKIP_COST);
  }

  const out = {
    stationM: new Float64Array(m).fill(Number.NaN),
    offsetM: new Float64Array(m).fill(Number.NaN),
    curvaturePerM: new Float64Array(m).fill(Number.NaN),
  };
  const chain: number[] = [];
  for (let node = cheapestOf(states); node !== -1; node = previous[node]!) chain.push(node);
  chain.reverse();
  const restarts: { fix: number; jumpM: number }[] = [];
  let unwrapped = 0;
  chain.forEach((node, k) => {
    const i = fixOf[node]!;
    if (k === 0) unwrapped = station[node]!;
    else {
      const before = chain[k - 1]!;
      const ridden = riddenM[i]! - riddenM[fixOf[before]!]!;
      const step = wrapNear(station[node]! - station[before]!, ridden, length);
      unwrapped += step;
      if (fresh[node] === 1) restarts.push({ fix: i, jumpM: step - ridden });
    }
    out.stationM[i] = unwrapped;
    out.offsetM[i] = offset[node]!;
    out.curvaturePerM[i] = curvature[node]!;
  });
  return { ...out, restarts };
}

function cheapestOf(states: readonly State[]): number {
  let best: State | null = null;
  for (const s of states) if (best === null || s.cost < best.cost) best = s;
  return best?.node ?? -1;
}

/**
 * The states to go on with: every place of this fix, and the cheapest few of before, for which this fix is left out.
 * All places of a fix stay, however dear, so that a path on the wrong limb can be given up for the right one.
 */
function pruned(here: readonly State[], before: State[], skipCost: number): State[] {
  for (const s of before) s.cost += skipCost;
  if (before.length > CARRY) {
    before.sort((a, b) => a.cost - b.cost);
    before.length = CARRY;
  }
  let least = Number.POSITIVE_INFINITY;
  for (const s of here) if (s.cost < least) least = s.cost;
  for (const s of before) if (s.cost < least) least = s.cost;
  const kept: State[] = [];
  for (const states of [here, before])
    for (const s of states) {
      s.cost -= least;
      if (s.cost <= PRUNE) kept.push(s);
    }
  return kept;
}

function widen<T extends Int32Array | Float64Array | Uint8Array>(
  old: T,
  kind: new (n: number) => T,
  capacity: number,
): T {
  const wider = new kind(capacity);
  wider.set(old);
  return wider;
}

/** The value congruent to `step` modulo the length that lies nearest to `expected`. */
function wrapNear(step: number, expected: number, length: number): number {
  return step + length * Math.round((expected - step) / length);
}

function turnBetween(a: number, b: number): number {
  const d = a - b;
  return d - 2 * Math.PI * Math.round(d / (2 * Math.PI));
}
