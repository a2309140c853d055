import type { Course } from './course.ts';
import { planeToEarth } from './planeToEarth.ts';
import type { Circuit } from './saltmarsh.ts';

/** The circuit as GeoJSON (RFC 7946): centre line, gate, edges, and a point with a name at the middle of every bend. */
export function circuitFile(circuit: Circuit): string {
  const { course, origin } = circuit;
  const position = (index: number, offsetM: number) => {
    const i = ((index % course.count) + course.count) % course.count;
    const heading = course.heading[i]!;
    const { latDeg, lonDeg } = planeToEarth(
      origin,
      course.x[i]! - offsetM * Math.sin(heading),
      course.y[i]! + offsetM * Math.cos(heading),
      course.altitude[i]!,
    );
    return [Number(lonDeg.toFixed(8)), Number(latDeg.toFixed(8))];
  };
  const loop = (spacingM: number, offsetM: number) => {
    const count = Math.round(course.lengthM / spacingM);
    const line = Array.from({ length: count }, (_, k) => position(Math.round((k * course.count) / count), offsetM));
    return [...line, line[0]!];
  };
  const feature = (properties: object, type: string, coordinates: unknown) =>
    JSON.stringify({ type: 'Feature', properties, geometry: { type, coordinates } });
  const features = [
    feature({ role: 'reference-line', name: circuit.name }, 'LineString', loop(4, 0)),
    feature({ role: 'gate' }, 'LineString', [position(0, circuit.gateHalfM), position(0, -circuit.gateHalfM)]),
    feature({ role: 'edge-left' }, 'LineString', loop(6, circuit.halfWidthM)),
    feature({ role: 'edge-right' }, 'LineString', loop(6, -circuit.halfWidthM)),
    ...circuit.bends.map((bend) =>
      feature({ role: 'corner', name: bend.name }, 'Point', position(middleOf(course, bend.fromM, bend.toM), 0)),
    ),
  ];
  return `{"type":"FeatureCollection","features":[\n${features.join(',\n')}\n]}\n`;
}

/** Node at which a stretch has made half of its turn. */
function middleOf(course: Course, fromM: number, toM: number): number {
  const [from, to] = [Math.ceil(fromM / course.stepM), Math.floor(toM / course.stepM)];
  const half = (course.heading[from]! + course.heading[to]!) / 2;
  const sense = Math.sign(course.heading[to]! - course.heading[from]!);
  let i = from;
  while (i < to && (course.heading[i]! - half) * sense < 0) i++;
  return i;
}
