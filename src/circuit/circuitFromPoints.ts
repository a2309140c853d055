import { centreLine } from './centreLine.ts';
import { crossings } from './crossings.ts';
import { type ClosedLine, closedLine, Foot, LinePoint } from './line.ts';
import { offsetsBeside } from './offsetsBeside.ts';
import type { Plane } from './plane.ts';
import type { CircuitDrawing } from './writeCircuit.ts';

/** Points of a circuit as [east, north] or [x, y] in metres, in the direction of travel. */
export interface CircuitPoints {
  readonly name: string;
  /** Null where the metres are a simulator's own. */
  readonly plane: Plane | null;
  /** The line stations run along; the centre line of the edges where it is left out. */
  readonly line?: readonly Float64Array[];
  /** Distance from each point of the line to the edges, metres. */
  readonly widths?: { readonly leftM: Float64Array; readonly rightM: Float64Array } | null;
  readonly edges?: { readonly left: readonly Float64Array[]; readonly right: readonly Float64Array[] } | null;
  /** Where the gate goes, along the line from its first point. */
  readonly gateStationM?: number;
}

/** The gate reaches this much farther than the edges, so that who runs wide is timed. */
const BEYOND_EDGE = 1.5;
/** Half width of a gate where nothing says how wide the course is: 12 m, on a model circuit a share of its length. */
const HALF_WIDTH_M = 12;
const HALF_WIDTH_SHARE = 1 / 60;

/**
 * Makes the drawing of a circuit from points: takes or finds the line, lays the edges beside it, puts the gate across.
 * The gate is as wide as the course and half as much again, or less where it would reach another part of the line.
 *
 * @throws RangeError where the points do not make a closed line, or neither a line nor two edges are given
 */
export function circuitFromPoints(points: CircuitPoints): CircuitDrawing {
  const { name, plane, widths, gateStationM = 0 } = points;
  if (!points.line && !points.edges) throw new RangeError('neither a line nor two edges were given');
  const middle = points.line ? null : centreLine(points.edges!.left, points.edges!.right);
  const [eastM, northM] = middle ? [middle.eastM, middle.northM] : [points.line![0]!, points.line![1]!];
  const line = closedLine(eastM, northM);
  const edges = points.edges ?? (widths ? beside(line, eastM, northM, widths.leftM, widths.rightM) : null);
  return {
    name,
    plane,
    eastM,
    northM,
    gate: gateAcross(line, gateStationM, edges),
    edges,
  };
}

/** Edges at the given distances left and right of the points of a line, along the normal of the curve there. */
function beside(
  line: ClosedLine,
  eastM: Float64Array,
  northM: Float64Array,
  leftM: Float64Array,
  rightM: Float64Array,
): { left: Float64Array[]; right: Float64Array[] } {
  const foot = new Foot();
  const [left, right] = [0, 1].map(() => [new Float64Array(eastM.length), new Float64Array(eastM.length)]);
  for (let i = 0; i < eastM.length; i++) {
    line.foot(eastM[i]!, northM[i]!, foot.stationM, foot);
    const [nx, ny] = [-Math.sin(foot.headingRad), Math.cos(foot.headingRad)];
    left![0]![i] = eastM[i]! + leftM[i]! * nx;
    left![1]![i] = northM[i]! + leftM[i]! * ny;
    right![0]![i] = eastM[i]! - rightM[i]! * nx;
    right![1]![i] = northM[i]! - rightM[i]! * ny;
  }
  return { left: left!, right: right! };
}

function gateAcross(line: ClosedLine, stationM: number, edges: CircuitPoints['edges']): CircuitDrawing['gate'] {
  const place = new LinePoint();
  line.at(stationM, place);
  const half = Math.min(HALF_WIDTH_M, HALF_WIDTH_SHARE * line.lengthM);
  let [left, right] = [half, -half];
  if (edges) {
    const stations = 2000;
    const cell = Math.round((stationM / line.lengthM) * stations);
    const here = (edge: readonly Float64Array[]): number =>
      offsetsBeside(line, edge[0]!, edge[1]!, stations)[((cell % stations) + stations) % stations]!;
    const both = [here(edges.left), here(edges.right)];
    if (both.every(Number.isFinite)) {
      const width = Math.abs(both[0]! - both[1]!);
      left = Math.max(...both) + ((BEYOND_EDGE - 1) / 2) * width;
      right = Math.min(...both) - ((BEYOND_EDGE - 1) / 2) * width;
    }
  }
  const [nx, ny] = [-Math.sin(place.headingRad), Math.cos(place.headingRad)];
  for (;;) {
    const gate = {
      leftEastM: place.eastM + left * nx,
      leftNorthM: place.northM + left * ny,
      rightEastM: place.eastM + right * nx,
      rightNorthM: place.northM + right * ny,
    };
    const cuts = crossings(line, gate.leftEastM, gate.leftNorthM, gate.rightEastM, gate.rightNorthM);
    if (cuts.length <= 1 || left - right < 1e-3 * half) return gate;
    left *= 0.9;
    right *= 0.9;
  }
}
