import type { Gate } from './circuit.ts';
import type { Plane } from './plane.ts';

/** What is written of a circuit: points on its plane, in the direction of travel. */
export interface CircuitDrawing {
  readonly name: string;
  /** Null for a file in metres of its own. */
  readonly plane: Plane | null;
  readonly eastM: ArrayLike<number>;
  readonly northM: ArrayLike<number>;
  readonly gate: Gate;
  readonly edges?: { readonly left: readonly ArrayLike<number>[]; readonly right: readonly ArrayLike<number>[] } | null;
  readonly corners?: readonly { readonly name: string; readonly eastM: number; readonly northM: number }[];
}

const DEGREE_DIGITS = 8;
const METRE_DIGITS = 4;
const HEIGHT_DIGITS = 2;

/**
 * GeoJSON text of a circuit, as `readCircuit` reads it. The same drawing gives the same bytes. Degrees are written to
 * 1e-8 (about a millimetre), metres to 1e-4; the height of the plane, where it is not 0, as the third number.
 */
export function circuitText({ name, plane, eastM, northM, gate, edges, corners }: CircuitDrawing): string {
  const rounded = (value: number, digits: number): number => Number(value.toFixed(digits)) + 0;
  const position = (east: number, north: number): string => {
    if (!plane) return JSON.stringify([rounded(east, METRE_DIGITS), rounded(north, METRE_DIGITS)]);
    const { latDeg, lonDeg } = plane.latLon(east, north);
    const place = [rounded(lonDeg, DEGREE_DIGITS), rounded(latDeg, DEGREE_DIGITS)];
    if (plane.heightM !== 0) place.push(rounded(plane.heightM, HEIGHT_DIGITS));
    return JSON.stringify(place);
  };
  const closed = (east: ArrayLike<number>, north: ArrayLike<number>): string[] => {
    const places = Array.from(east, (value, i) => position(value, north[i]!));
    // RFC 7946 closes a ring by its first position; a line that goes round does the same.
    if (places[0] !== places.at(-1)) places.push(places[0]!);
    return places;
  };
  const feature = (properties: object, type: string, coordinates: string): string =>
    `    {\n      "type": "Feature",\n      "properties": ${JSON.stringify(properties)},\n` +
    `      "geometry": { "type": ${JSON.stringify(type)}, "coordinates": ${coordinates} }\n    }`;
  const path = (role: string, places: string[]): string =>
    feature({ role }, 'LineString', `[\n        ${places.join(',\n        ')}\n      ]`);

  const features = [
    path('reference-line', closed(eastM, northM)),
    path('gate', [position(gate.leftEastM, gate.leftNorthM), position(gate.rightEastM, gate.rightNorthM)]),
  ];
  if (edges) {
    features.push(path('edge-left', closed(edges.left[0]!, edges.left[1]!)));
    features.push(path('edge-right', closed(edges.right[0]!, edges.right[1]!)));
  }
  for (const corner of corners ?? []) {
    features.push(feature({ role: 'corner', name: corner.name }, 'Point', position(corner.eastM, corner.northM)));
  }
  const own = plane ? '' : '  "plane": "metres",\n';
  return `{\n  "type": "FeatureCollection",\n  "name": ${JSON.stringify(name)},\n${own}  "features": [\n${features.join(',\n')}\n  ]\n}\n`;
}
