/** A stretch of the centre line whose curvature changes evenly: a straight, an arc or a clothoid. */
export interface Stretch {
  readonly lengthM: number;
  readonly fromPerM: number;
  readonly toPerM: number;
  /** The bend whose steady part this is; bends with two apexes have two such stretches. */
  readonly apex?: string;
  /** A straight whose length may change so that the course closes. */
  readonly free?: boolean;
}

/** A place of the centre line. */
export interface CoursePoint {
  eastM: number;
  northM: number;
  headingRad: number;
  curvaturePerM: number;
  /** d curvature / d station, 1/m². */
  curvatureSlope: number;
}

/** Where a bend is steady. */
export interface Apex {
  readonly name: string;
  readonly fromM: number;
  readonly toM: number;
  readonly curvaturePerM: number;
}

/** A closed course: its centre line by arc length from the gate. */
export interface Course {
  readonly name: string;
  readonly lengthM: number;
  readonly apexes: readonly Apex[];
  /** At any station, also before the gate and beyond the length. */
  at(stationM: number, into?: CoursePoint): CoursePoint;
  /** Height and its slope at a station. */
  heightM(stationM: number): number;
  grade(stationM: number): number;
}

const RAD = Math.PI / 180;

export const straight = (lengthM: number, free = false): Stretch => ({ lengthM, fromPerM: 0, toPerM: 0, free });

/** Clothoid, arc, clothoid: a bend through `turnDeg` (left positive) with radius `radiusM` in its middle. */
export function bend(name: string, radiusM: number, turnDeg: number, easeInM: number, easeOutM = easeInM): Stretch[] {
  const peak = Math.sign(turnDeg) / radiusM;
  const arcM = Math.abs(turnDeg) * RAD * radiusM - (easeInM + easeOutM) / 2;
  if (arcM < 0) throw new RangeError(`bend ${name}: its clothoids turn more than ${turnDeg} degrees`);
  return [
    { lengthM: easeInM, fromPerM: 0, toPerM: peak },
    { lengthM: arcM, fromPerM: peak, toPerM: peak, apex: name },
    { lengthM: easeOutM, fromPerM: peak, toPerM: 0 },
  ];
}

/** A bend with two apexes and a wider arc between them. Turns are those of the two arcs; the rest is added. */
export function doubleBend(
  name: string,
  first: { radiusM: number; turnDeg: number },
  wideM: number,
  second: { radiusM: number; turnDeg: number },
  easeM: number,
): { stretches: Stretch[]; turnDeg: number } {
  const sign = Math.sign(first.turnDeg);
  const [one, wide, two] = [sign / first.radiusM, sign / wideM, sign / second.radiusM];
  const arc = (turnDeg: number, radiusM: number): number => Math.abs(turnDeg) * RAD * radiusM;
  const stretches: Stretch[] = [
    { lengthM: easeM, fromPerM: 0, toPerM: one },
    { lengthM: arc(first.turnDeg, first.radiusM), fromPerM: one, toPerM: one, apex: `${name}a` },
    { lengthM: easeM, fromPerM: one, toPerM: wide },
    { lengthM: easeM, fromPerM: wide, toPerM: two },
    { lengthM: arc(second.turnDeg, second.radiusM), fromPerM: two, toPerM: two, apex: `${name}b` },
    { lengthM: easeM, fromPerM: two, toPerM: 0 },
  ];
  return { stretches, turnDeg: turnOf(stretches) / RAD };
}

const turnOf = (list: readonly Stretch[]): number =>
  list.reduce((sum, { lengthM, fromPerM, toPerM }) => sum + (lengthM * (fromPerM + toPerM)) / 2, 0);

/** Nodes and weights of Gauss and Legendre for five points on [0, 1]. */
const NODES = [0.046910077030668, 0.230765344947158, 0.5, 0.769234655052841, 0.953089922969332];
const WEIGHTS = [0.118463442528095, 0.239314335249683, 0.284444444444444, 0.239314335249683, 0.118463442528095];
/** Spacing of the table of positions, m; between its nodes a cubic is right to 1e-8 m. */
const TABLE_M = 0.5;

/**
 * A course out of stretches that turn once round; two straights marked `free` are stretched until it closes.
 *
 * @param hillsM amplitude of two gentle waves of height round the lap
 */
export function course(name: string, given: readonly Stretch[], hillsM = 0): Course {
  const turn = turnOf(given);
  if (Math.abs(Math.abs(turn) - 2 * Math.PI) > 1e-9)
    throw new RangeError(`${name} turns by ${(turn / RAD).toFixed(3)} degrees`);
  const list = closed(name, given);
  const starts: number[] = [];
  const headings: number[] = [];
  let lengthM = 0;
  let heading = 0;
  for (const { lengthM: own, fromPerM, toPerM } of list) {
    starts.push(lengthM);
    headings.push(heading);
    lengthM += own;
    heading += (own * (fromPerM + toPerM)) / 2;
  }
  const locate = (s: number): number => {
    let i = list.length - 1;
    while (i > 0 && starts[i]! > s) i--;
    return i;
  };
  const headingIn = (i: number, u: number): number => {
    const { fromPerM, toPerM, lengthM: own } = list[i]!;
    return headings[i]! + fromPerM * u + ((toPerM - fromPerM) * u * u) / (2 * own);
  };
  const count = Math.ceil(lengthM / TABLE_M);
  const step = lengthM / count;
  const east = new Float64Array(count + 1);
  const north = new Float64Array(count + 1);
  for (let k = 0; k < count; k++) {
    let [dx, dy] = [0, 0];
    // Cells that a joint of two stretches cuts are summed in their two parts.
    const from = k * step;
    const to = (k + 1) * step;
    const cuts = [from, ...starts.filter((s) => s > from && s < to), to];
    for (let c = 1; c < cuts.length; c++) {
      const [a, b] = [cuts[c - 1]!, cuts[c]!];
      const i = locate((a + b) / 2);
      NODES.forEach((x, j) => {
        const h = headingIn(i, a + x * (b - a) - starts[i]!);
        dx += WEIGHTS[j]! * (b - a) * Math.cos(h);
        dy += WEIGHTS[j]! * (b - a) * Math.sin(h);
      });
    }
    east[k + 1] = east[k]! + dx;
    north[k + 1] = north[k]! + dy;
  }
  const wave = (2 * Math.PI) / lengthM;
  const at = (
    stationM: number,
    into: CoursePoint = { eastM: 0, northM: 0, headingRad: 0, curvaturePerM: 0, curvatureSlope: 0 },
  ): CoursePoint => {
    const round = Math.floor(stationM / lengthM);
    const s = stationM - round * lengthM;
    const i = locate(s);
    const { fromPerM, toPerM, lengthM: own } = list[i]!;
    const u = s - starts[i]!;
    const k = Math.min(count - 1, Math.floor(s / step));
    const r = s / step - k;
    const heading0 = headingIn(locate(k * step), k * step - starts[locate(k * step)]!);
    const i1 = locate((k + 1) * step);
    const heading1 = headingIn(i1, (k + 1) * step - starts[i1]!);
    const [h00, h10] = [(1 + 2 * r) * (1 - r) ** 2, r * (1 - r) ** 2];
    const [h01, h11] = [r * r * (3 - 2 * r), r * r * (r - 1)];
    into.eastM =
      h00 * east[k]! + h10 * step * Math.cos(heading0) + h01 * east[k + 1]! + h11 * step * Math.cos(heading1);
    into.northM =
      h00 * north[k]! + h10 * step * Math.sin(heading0) + h01 * north[k + 1]! + h11 * step * Math.sin(heading1);
    into.headingRad = headingIn(i, u) + round * turn;
    into.curvaturePerM = fromPerM + ((toPerM - fromPerM) * u) / own;
    into.curvatureSlope = (toPerM - fromPerM) / own;
    return into;
  };
  return {
    name,
    lengthM,
    apexes: list.flatMap(({ apex, lengthM: own, fromPerM }, i) =>
      apex ? [{ name: apex, fromM: starts[i]!, toM: starts[i]! + own, curvaturePerM: fromPerM }] : [],
    ),
    at,
    heightM: (s) => hillsM * (Math.sin(wave * s + 0.7) + 0.4 * Math.sin(2 * wave * s + 2.1)),
    grade: (s) => hillsM * wave * (Math.cos(wave * s + 0.7) + 0.8 * Math.cos(2 * wave * s + 2.1)),
  };
}

/** Lengths of the two free straights such that the end meets the start. */
function closed(name: string, given: readonly Stretch[]): Stretch[] {
  let [x, y, heading] = [0, 0, 0];
  const along: { i: number; heading: number }[] = [];
  given.forEach(({ lengthM, fromPerM, toPerM, free }, i) => {
    if (free) along.push({ i, heading });
    const parts = Math.max(1, Math.ceil(lengthM));
    for (let k = 0; k < parts; k++)
      NODES.forEach((node, j) => {
        const u = ((k + node) * lengthM) / parts;
        const h = heading + fromPerM * u + ((toPerM - fromPerM) * u * u) / (2 * lengthM);
        x += (WEIGHTS[j]! * lengthM * Math.cos(h)) / parts;
        y += (WEIGHTS[j]! * lengthM * Math.sin(h)) / parts;
      });
    heading += (lengthM * (fromPerM + toPerM)) / 2;
  });
  const [one, two] = along;
  if (!one || !two || along.length !== 2) throw new RangeError(`${name} needs two free straights`);
  const det = Math.sin(two.heading - one.heading);
  const more = (-x * Math.sin(two.heading) + y * Math.cos(two.heading)) / det;
  const other = (x * Math.sin(one.heading) - y * Math.cos(one.heading)) / det;
  return given.map((stretch, i) => {
    const lengthM = stretch.lengthM + (i === one.i ? more : i === two.i ? other : 0);
    if (lengthM <= 0) throw new RangeError(`${name} closes with a straight of ${lengthM.toFixed(1)} m`);
    return { ...stretch, lengthM };
  });
}
