import type { Circuit } from './circuit.ts';
import { offsetsBeside } from './offsetsBeside.ts';

/** Offsets of the edges of the course from the line, left positive, metres; null where an edge was not drawn. */
export interface EdgesHere {
  readonly leftM: number | null;
  readonly rightM: number | null;
}

/** Stations around the line at which the edges are worked out, once for each circuit. */
const STATIONS = 2000;
const NOT_DRAWN: EdgesHere = { leftM: null, rightM: null };
const known = new WeakMap<Circuit, { leftM: Float64Array; rightM: Float64Array }>();

/**
 * Where the edges of the course lie at any station of the circuit's line, straight between stations of a grid of 2000.
 */
export function edgesAt(circuit: Circuit, stationM: number): EdgesHere {
  const { edges, line, lengthM } = circuit;
  if (edges === null) return NOT_DRAWN;
  let grid = known.get(circuit);
  if (!grid) {
    grid = {
      leftM: offsetsBeside(line, edges.left[0]!, edges.left[1]!, STATIONS),
      rightM: offsetsBeside(line, edges.right[0]!, edges.right[1]!, STATIONS),
    };
    known.set(circuit, grid);
  }
  const place = (stationM / lengthM) * STATIONS;
  return { leftM: between(grid.leftM, place), rightM: between(grid.rightM, place) };
}

function between(values: Float64Array, place: number): number | null {
  const below = Math.floor(place);
  const at = (k: number): number => values[((k % STATIONS) + STATIONS) % STATIONS]!;
  const low = at(below);
  const value = place === below ? low : low + (place - below) * (at(below + 1) - low);
  return Number.isNaN(value) ? null : value;
}
