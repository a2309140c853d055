import type { Problem, Severity } from '../problem.ts';
import { centreLine } from './centreLine.ts';
import { type Crossing, crossings } from './crossings.ts';
import { type Feature, type Role, readFeatures } from './features.ts';
import { type ClosedLine, closedLine, type Foot, startAt } from './line.ts';
import { offsetsBeside } from './offsetsBeside.ts';
import type { Plane } from './plane.ts';

/** Ends of the timing line, seen in the direction of travel. */
export interface Gate {
  readonly leftEastM: number;
  readonly leftNorthM: number;
  readonly rightEastM: number;
  readonly rightNorthM: number;
}

/** A named station: a corner, or the line at which a sector begins. */
export interface Mark {
  readonly name: string;
  readonly stationM: number;
}

/** A circuit on its plane. Station 0 of the line is where the gate cuts it. */
export interface Circuit {
  readonly id: string;
  readonly name: string;
  /** Null where the file is in metres of its own, without a place on earth. */
  readonly plane: Plane | null;
  readonly line: ClosedLine;
  readonly lengthM: number;
  readonly gate: Gate;
  /** Points of each edge as [east, north]. */
  readonly edges: { readonly left: Float64Array[]; readonly right: Float64Array[] } | null;
  /** By station. */
  readonly corners: readonly Mark[];
  /** By station. */
  readonly sectors: readonly Mark[];
}

/** A gate within 30 degrees of the direction of travel is not across it. */
const LEAST_SINE = 0.5;
/** Ends of the line farther apart than these shares of its length: said, refused. */
const OPEN_WARN = 0.01;
const OPEN_STOP = 0.1;
/** A corner's point may lie this share of the line's length off it. */
const CORNER_REACH = 0.03;
/** The line may not turn by more than this (120 degrees) at one point. */
const SHARPEST_RAD = (2 * Math.PI) / 3;

type Report = (severity: Severity, key: string | null, found: string, expected: string, remedy: string) => void;

/**
 * Reads a circuit's GeoJSON. Whatever is wrong with it becomes a problem; nothing is thrown.
 *
 * @param text content of the file
 * @param file its name, for problems
 * @param id of the circuit; also its name where the file gives none
 * @returns null with at least one problem of severity `stop` where the file does not hold a circuit
 */
export function readCircuit(text: string, file: string, id: string): { circuit: Circuit | null; problems: Problem[] } {
  const { name, plane, features, problems } = readFeatures(text, file);
  const report: Report = (severity, key, found, expected, remedy) => {
    const place = key === null ? { file } : { file, key };
    problems.push({ code: 'CIRCUIT_INVALID', severity, place, found, expected, remedy });
  };
  const fail = { circuit: null, problems };
  if (problems.some((problem) => problem.severity === 'stop')) return fail;

  const only = (role: Role): Feature | undefined => {
    const [first, second] = features.filter((feature) => feature.role === role);
    if (second) {
      const severity = role === 'edge-left' || role === 'edge-right' ? 'warn' : 'stop';
      report(severity, second.key, `a second ${role}`, 'one', 'take one out; an edge in parts wants to be one line');
    }
    return first;
  };
  const left = only('edge-left');
  const right = only('edge-right');
  if (!left !== !right) {
    const key = (left ?? right)!.key;
    report('note', key, `${(left ?? right)!.role} alone`, 'both edges', 'the edge is left out; draw the other one too');
  }
  const edges = left && right ? { left: [left.eastM, left.northM], right: [right.eastM, right.northM] } : null;

  const drawn = only('reference-line');
  const gateDrawn = only('gate');
  if (problems.some((problem) => problem.severity === 'stop')) return fail;
  const line = drawn ? lineOf(drawn, report) : edges ? between(edges, report) : null;
  if (!drawn && !edges) {
    const found = 'no feature with the role reference-line, nor both edges';
    report('stop', null, found, 'a closed LineString in the direction of travel', 'draw the line, or both edges');
  }
  if (!gateDrawn) {
    const remedy = 'draw a LineString with the role gate across the course';
    report('stop', null, 'no feature with the role gate', 'a timing line', remedy);
  }
  if (!line || !gateDrawn) return fail;

  const cut = gateCut(line, gateDrawn, report);
  if (!cut) return fail;
  const fromGate = startAt(line, cut.stationM);
  if (edges) checkSides(fromGate, edges, report);
  const circuit: Circuit = {
    id,
    name: name ?? drawn?.name ?? id,
    plane,
    line: fromGate,
    lengthM: line.lengthM,
    gate: gateOf(gateDrawn, cut),
    edges,
    corners: corners(fromGate, features, report),
    sectors: sectors(fromGate, features, report),
  };
  return { circuit: problems.some((problem) => problem.severity === 'stop') ? null : circuit, problems };
}

const metres = (value: number): string => `${Number(value.toPrecision(3))} m`;
const byStation = (a: Mark, b: Mark): number => a.stationM - b.stationM;

function lineOf({ eastM, northM, key }: Feature, report: Report): ClosedLine | null {
  let line: ClosedLine;
  try {
    line = closedLine(eastM, northM);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    report('stop', `${key}.geometry`, error.message, 'a closed line around the circuit', 'draw more points');
    return null;
  }
  const last = eastM.length - 1;
  const open = Math.hypot(eastM[0]! - eastM[last]!, northM[0]! - northM[last]!);
  let longest = 0;
  for (let i = 1; i <= last; i++) {
    longest = Math.max(longest, Math.hypot(eastM[i]! - eastM[i - 1]!, northM[i]! - northM[i - 1]!));
  }
  // A gap no longer than the longest step is one more step.
  if (open > 1.5 * longest && open > OPEN_WARN * line.lengthM) {
    const stop = open > OPEN_STOP * line.lengthM;
    const found = `a line whose ends lie ${metres(open)} apart`;
    const remedy = stop ? 'draw it to the end' : 'the gap is closed by the curve; draw it to the end';
    report(stop ? 'stop' : 'warn', `${key}.geometry`, found, 'a closed line', remedy);
  }
  const back = sharpTurn(eastM, northM);
  if (back !== null) {
    const found = `the line turns back on itself at its point ${back}`;
    report(
      'warn',
      `${key}.geometry.coordinates[${back}]`,
      found,
      'a line that one can ride',
      'check the order of points',
    );
  }
  return line;
}

/** First point at which the polygon turns by more than the sharpest turn, or null. */
function sharpTurn(eastM: Float64Array, northM: Float64Array): number | null {
  const n = eastM.length;
  let before = Number.NaN;
  for (let i = 0; i <= n; i++) {
    const [a, b] = [i % n, (i + 1) % n];
    const [dx, dy] = [eastM[b]! - eastM[a]!, northM[b]! - northM[a]!];
    if (dx === 0 && dy === 0) continue;
    const heading = Math.atan2(dy, dx);
    const turn = heading - before;
    if (Math.abs(turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI))) > SHARPEST_RAD) return a;
    before = heading;
  }
  return null;
}

function between(edges: NonNullable<Circuit['edges']>, report: Report): ClosedLine | null {
  try {
    const { eastM, northM } = centreLine(edges.left, edges.right);
    const remedy = 'draw a reference-line where stations should run along something else';
    report(
      'note',
      null,
      'both edges and no reference line',
      'a reference line',
      `the centre line of the edges is used; ${remedy}`,
    );
    return closedLine(eastM, northM);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    report('stop', null, `edges without a centre line: ${error.message}`, 'two closed edges', 'draw more points');
    return null;
  }
}

/** The one cut of the gate, or the one nearest its middle; null where there is none or the gate lies along the line. */
function gateCut(line: ClosedLine, gate: Feature, report: Report): Crossing | null {
  const last = gate.eastM.length - 1;
  const ends = [gate.eastM[0]!, gate.northM[0]!, gate.eastM[last]!, gate.northM[last]!] as const;
  const key = `${gate.key}.geometry`;
  const expected = 'a gate across the course that the reference line passes once';
  const cuts = crossings(line, ...ends);
  if (cuts.length === 0) {
    const near: Foot[] = [];
    const count = line.candidates((ends[0] + ends[2]) / 2, (ends[1] + ends[3]) / 2, line.lengthM, near);
    const away = Math.min(...near.slice(0, count).map((foot) => Math.abs(foot.offsetM)));
    const found = `a gate that the line does not pass; its middle lies ${metres(away)} from the line`;
    report('stop', key, found, expected, 'move the gate, or make it longer');
    return null;
  }
  const cut = cuts.reduce((best, one) => (Math.abs(one.share - 0.5) < Math.abs(best.share - 0.5) ? one : best));
  if (cuts.length > 1) {
    const stations = cuts.map((one) => metres(one.stationM)).join(', ');
    const found = `a gate that the line passes ${cuts.length} times, ${stations} after its first point`;
    report('warn', key, found, expected, 'the pass nearest the middle of the gate is used; make the gate shorter');
  }
  if (Math.abs(cut.sine) < LEAST_SINE) {
    const angle = Math.round((Math.asin(Math.abs(cut.sine)) * 180) / Math.PI);
    report('stop', key, `a gate at ${angle} degrees to the line`, expected, 'draw it across the course');
    return null;
  }
  return cut;
}

function gateOf({ eastM, northM }: Feature, cut: Crossing): Gate {
  const last = eastM.length - 1;
  const [left, right] = cut.sine > 0 ? [last, 0] : [0, last];
  return {
    leftEastM: eastM[left]!,
    leftNorthM: northM[left]!,
    rightEastM: eastM[right]!,
    rightNorthM: northM[right]!,
  };
}

/** Says so where the edges lie on the wrong sides of the line, which is what a line drawn against travel looks like. */
function checkSides(line: ClosedLine, edges: NonNullable<Circuit['edges']>, report: Report): void {
  const beside = (edge: Float64Array[]): number => {
    const offsets = offsetsBeside(line, edge[0]!, edge[1]!, 200).filter((offset) => !Number.isNaN(offset));
    return offsets.sort()[offsets.length >> 1] ?? Number.NaN;
  };
  const [left, right] = [beside(edges.left), beside(edges.right)];
  if (left < right) {
    const found = `edge-left ${metres(Math.abs(left))} to the ${left < 0 ? 'right' : 'left'} of the line, edge-right beyond it`;
    const remedy = 'turn the reference line round where it runs against travel, else exchange the edges';
    report('warn', null, found, 'the left edge on the left, seen in the direction of travel', remedy);
  }
}

function corners(line: ClosedLine, features: readonly Feature[], report: Report): Mark[] {
  const near: Foot[] = [];
  const marks: Mark[] = [];
  for (const { role, name, key, eastM, northM } of features) {
    if (role !== 'corner') continue;
    const count = line.candidates(eastM[0]!, northM[0]!, CORNER_REACH * line.lengthM, near);
    const [closest] = near.slice(0, count).sort((a, b) => Math.abs(a.offsetM) - Math.abs(b.offsetM));
    if (!closest || name === null) {
      const found =
        name === null
          ? 'a corner without a name'
          : `corner ${name} more than ${metres(CORNER_REACH * line.lengthM)} off the line`;
      report('warn', key, found, 'a named point beside the line', 'the point is left out; mend it or take it out');
      continue;
    }
    marks.push({ name, stationM: closest.stationM });
  }
  return marks.sort(byStation);
}

function sectors(line: ClosedLine, features: readonly Feature[], report: Report): Mark[] {
  const marks: Mark[] = [];
  for (const { role, name, key, eastM, northM } of features) {
    if (role !== 'sector') continue;
    const last = eastM.length - 1;
    const cuts = crossings(line, eastM[0]!, northM[0]!, eastM[last]!, northM[last]!);
    const [cut] = [...cuts].sort((a, b) => Math.abs(a.share - 0.5) - Math.abs(b.share - 0.5));
    if (!cut) {
      report(
        'warn',
        key,
        'a sector line that the line does not pass',
        'a line across the course',
        'it is left out; move it',
      );
      continue;
    }
    marks.push({ name: name ?? '', stationM: cut.stationM });
  }
  return marks.sort(byStation).map((mark, i) => (mark.name === '' ? { ...mark, name: `${i + 1}` } : mark));
}
