import { type Circuit, readCircuit } from '../../src/circuit/circuit.ts';
import { circuitFromPoints } from '../../src/circuit/circuitFromPoints.ts';
import { circuitText } from '../../src/circuit/writeCircuit.ts';
import { bend, type Course, closeCourse, courseFromPieces, courseFromPoints, straight } from '../simulator/course.ts';

const corner = (angle: number, radiusM: number) => bend(angle, radiusM, Math.min(20, radiusM / 2));

/** Four bends to the left, about 1.2 km. */
export function rounded(): Course {
  const turns = [bend(90, 40, 20), bend(90, 30, 20), bend(90, 50, 25), bend(90, 35, 20)];
  const pieces = turns.flatMap((turn, i) => [straight([300, 150, 280, 150][i]!), ...turn]);
  return courseFromPieces(closeCourse(pieces, 8, 12));
}

/** A lemniscate about 1.3 km long that crosses itself at right angles half way along each lobe-to-lobe run. */
export function figureEight(): Course {
  const points = Array.from({ length: 240 }, (_, i) => {
    const t = (2 * Math.PI * i) / 240;
    const r = 250 / (1 + Math.sin(t) ** 2);
    return [r * Math.cos(t), r * Math.sin(t) * Math.cos(t)] as const;
  });
  return courseFromPoints(points);
}

/** Three limbs side by side, about 9 m apart, joined by a hairpin to the left and one to the right; about 1.5 km. */
export function comb(): Course {
  const pieces = [
    straight(350),
    ...corner(180, 4.2),
    straight(200),
    ...corner(-180, 4.2),
    straight(220),
    ...corner(90, 30),
    straight(80),
    ...corner(90, 30),
    straight(400),
    ...corner(90, 25),
    straight(80),
    ...corner(90, 25),
    straight(30),
  ];
  return courseFromPieces(closeCourse(pieces, 16, 20));
}

/** The circuit that a person would draw of a course: its line every metre, a gate at a station, edges beside it. */
export function circuitOf(course: Course, gateStationM = 0, halfWidthM = 6): Circuit {
  const every = Math.round(1 / course.stepM);
  const count = Math.floor(course.count / every);
  const pick = (values: Float64Array) => Float64Array.from({ length: count }, (_, i) => values[i * every]!);
  const width = new Float64Array(count).fill(halfWidthM);
  const drawing = circuitFromPoints({
    name: 'course',
    plane: null,
    line: [pick(course.x), pick(course.y)],
    gateStationM,
    widths: { leftM: width, rightM: width },
  });
  const { circuit, problems } = readCircuit(circuitText(drawing), 'course.geojson', 'course');
  if (!circuit) throw new Error(JSON.stringify(problems));
  return circuit;
}
