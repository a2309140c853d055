import { type ClosedLine, Foot } from '../circuit/line.ts';
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
const PORTION = 256;

/** Nodes at which the path may stand, cheapest first, and what it cost to come there. */
class Frontier {
  count = 0;
  node = new Int32Array(32);
  cost = new Float64Array(32);

  /** Keeps the cheapest few, for which the next fix is left out. */
  leaveOut(skipCost: number): void {
    this.count = Math.min(this.count, CARRY);
    for (let k = 0; k < this.count; k++) this.cost[k]! += skipCost;
  }

  add(node: number, cost: number): void {
    if (this.count === this.node.length) {
      this.node = widen(this.node, Int32Array, 2 * this.count);
      this.cost = widen(this.cost, Float64Array, 2 * this.count);
    }
    let k = this.count++;
    for (; k > 0 && this.cost[k - 1]! > cost; k--) {
      this.node[k] = this.node[k - 1]!;
      this.cost[k] = this.cost[k - 1]!;
    }
    this.node[k] = node;
    this.cost[k] = cost;
  }

  /** Counts cost from the cheapest on, and drops what is much dearer. */
  settle(): void {
    const least = this.cost[0]!;
    for (let k = 0; k < this.count; k++) this.cost[k]! -= least;
    while (this.count > 0 && !(this.cost[this.count - 1]! <= PRUNE)) this.count--;
  }

  get cheapest(): number {
    return this.count > 0 ? this.node[0]! : -1;
  }
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
  const search = new Search(line, fixes, courseRad, riddenM, radiusM, lateralSigmaM);
  const m = fixes.timeS.length;
  for (let i = 0; i < m; i += PORTION) search.goThrough(i, Math.min(m, i + PORTION));
  return search.path();
}

/** Nodes of a search: one for each foot point of each fix, with the node before it on the cheapest way there. */
class Nodes {
  count = 0;
  fixOf = new Int32Array(0);
  previous = new Int32Array(0);
  fresh = new Uint8Array(0);
  station = new Float64Array(0);
  offset = new Float64Array(0);
  curvature = new Float64Array(0);
  heading = new Float64Array(0);
  cost = new Float64Array(0);

  constructor(room: number) {
    this.#widen(room);
  }

  /** A further node, whose values are to be set. */
  add(): number {
    if (this.count === this.fixOf.length) this.#widen(2 * this.count);
    return this.count++;
  }

  #widen(room: number): void {
    this.fixOf = widen(this.fixOf, Int32Array, room);
    this.previous = widen(this.previous, Int32Array, room);
    this.fresh = widen(this.fresh, Uint8Array, room);
    this.station = widen(this.station, Float64Array, room);
    this.offset = widen(this.offset, Float64Array, room);
    this.curvature = widen(this.curvature, Float64Array, room);
    this.heading = widen(this.heading, Float64Array, room);
    this.cost = widen(this.cost, Float64Array, room);
  }
}

/** The search at work, a portion of the fixes at a time: one loop over a run is compiled while it runs, and so each time. */
class Search {
  readonly #line: ClosedLine;
  readonly #fixes: Fixes;
  readonly #courseRad: Float64Array;
  readonly #riddenM: Float64Array;
  readonly #radiusM: number;
  readonly #lateralSigmaM: number;
  /** Never empty: the engine has another kind for a list that holds nothing yet, and would compile the search for both. */
  readonly #feet: Foot[] = [new Foot()];
  readonly #frontier = new Frontier();
  readonly #nodes: Nodes;

  constructor(
    line: ClosedLine,
    fixes: Fixes,
    courseRad: Float64Array,
    riddenM: Float64Array,
    radiusM: number,
    lateralSigmaM: number,
  ) {
    this.#line = line;
    this.#fixes = fixes;
    this.#courseRad = courseRad;
    this.#riddenM = riddenM;
    this.#radiusM = radiusM;
    this.#lateralSigmaM = lateralSigmaM;
    this.#nodes = new Nodes(Math.ceil(1.25 * fixes.timeS.length) + 16);
  }

  goThrough(first: number, end: number): void {
    for (let i = first; i < end; i++) this.#goTo(i);
  }

  /** Goes on to fix i. */
  #goTo(i: number): void {
    const { timeS, eastM, northM } = this.#fixes;
    const frontier = this.#frontier;
    const found = this.#line.candidates(eastM[i]!, northM[i]!, this.#radiusM, this.#feet);
    const firstHere = this.#nodes.count;
    const sinceS = i > 0 ? timeS[i]! - timeS[i - 1]! : INDEPENDENT_S;
    const weight = Math.min(1, Math.max(LEAST_WEIGHT, sinceS / INDEPENDENT_S));
    for (let k = 0; k < found; k++) this.#reach(this.#feet[k]!, i, weight);
    // Every place of this fix stays, however dear, so that a path on the wrong limb can be given up for the right one.
    frontier.leaveOut(weight * SKIP_COST);
    for (let node = firstHere; node < this.#nodes.count; node++) frontier.add(node, this.#nodes.cost[node]!);
    frontier.settle();
  }

  /** Adds a foot point as a node, behind the node from which it is reached at the least cost. */
  #reach(foot: Foot, i: number, weight: number): void {
    const { count: states, node: nodes, cost: costs, cheapest } = this.#frontier;
    const turn = (turnBetween(this.#courseRad[i]!, foot.headingRad) || 0) / HEADING_SIGMA_RAD;
    const own = weight * ((foot.offsetM / this.#lateralSigmaM) ** 2 + turn * turn);
    let best = states === 0 ? 0 : RESTART_COST;
    let from = -1;
    // A step costs nothing at best, so what is as dear as the best way already cannot be a better one.
    for (let n = 0; n < states && costs[n]! < best; n++) {
      const cost = costs[n]! + this.#stepCost(nodes[n]!, foot, i);
      if (cost < best) {
        best = cost;
        from = nodes[n]!;
      }
    }
    const node = this.#nodes.add();
    this.#nodes.fixOf[node] = i;
    this.#nodes.station[node] = foot.stationM;
    this.#nodes.offset[node] = foot.offsetM;
    this.#nodes.curvature[node] = foot.curvaturePerM;
    this.#nodes.heading[node] = foot.headingRad;
    // Taken up anew: the chain behind it is the cheapest one so far.
    this.#nodes.fresh[node] = from === -1 && states > 0 ? 1 : 0;
    this.#nodes.previous[node] = from !== -1 ? from : cheapest;
    this.#nodes.cost[node] = best + own;
  }

  /** Squared standard deviations by which the way from a node to a foot point of fix i differs from the one ridden. */
  #stepCost(node: number, foot: Foot, i: number): number {
    const { sigmaM } = this.#fixes;
    const j = this.#nodes.fixOf[node]!;
    const sigmas = sigmaM[i]! + sigmaM[j]!;
    const ridden = this.#riddenM[i]! - this.#riddenM[j]!;
    const step = wrapNear(foot.stationM - this.#nodes.station[node]!, ridden, this.#line.lengthM);
    // ∫(1 − nκ) ds is the way ridden: with the turn of the line between the feet it has no pole on the inside of a
    // tight bend, where a small step to the side is a long one along the line.
    const bend =
      0.5 * (foot.offsetM + this.#nodes.offset[node]!) * turnBetween(foot.headingRad, this.#nodes.heading[node]!);
    const spread = 2 * sigmas + 0.02 * this.#lateralSigmaM + ADVANCE_SIGMA * ridden + BEND_SIGMA * Math.abs(bend);
    // Drift and noise may carry a place back a little; a ride does not go back.
    const back = Math.max(0, -step - 3 * sigmas) / (0.02 * this.#lateralSigmaM);
    return ((step - bend - ridden) / spread) ** 2 + Math.min(back * back, SKIP_COST);
  }

  /** The chain of nodes that ends at the cheapest one. */
  path(): Path {
    const m = this.#fixes.timeS.length;
    const stationM = new Float64Array(m).fill(Number.NaN);
    const offsetM = new Float64Array(m).fill(Number.NaN);
    const curvaturePerM = new Float64Array(m).fill(Number.NaN);
    const restarts: { fix: number; jumpM: number }[] = [];
    // Backwards from the end, then forwards to count the rounds.
    const chain = new Int32Array(m);
    let links = 0;
    for (let node = this.#frontier.cheapest; node !== -1; node = this.#nodes.previous[node]!) chain[links++] = node;
    let unwrapped = 0;
    for (let k = links - 1; k >= 0; k--) {
      const node = chain[k]!;
      const i = this.#nodes.fixOf[node]!;
      if (k === links - 1) unwrapped = this.#nodes.station[node]!;
      else {
        const before = chain[k + 1]!;
        const ridden = this.#riddenM[i]! - this.#riddenM[this.#nodes.fixOf[before]!]!;
        const step = wrapNear(this.#nodes.station[node]! - this.#nodes.station[before]!, ridden, this.#line.lengthM);
        unwrapped += step;
        if (this.#nodes.fresh[node] === 1) restarts.push({ fix: i, jumpM: step - ridden });
      }
      stationM[i] = unwrapped;
      offsetM[i] = this.#nodes.offset[node]!;
      curvaturePerM[i] = this.#nodes.curvature[node]!;
    }
    return { stationM, offsetM, curvaturePerM, restarts };
  }
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
