import { describe, expect, test } from 'vitest';
import { readCircuit } from '../../src/circuit/circuit.ts';
import { circuitFromPoints } from '../../src/circuit/circuitFromPoints.ts';
import { crossings } from '../../src/circuit/crossings.ts';
import { edgesAt } from '../../src/circuit/edges.ts';
import { LinePoint } from '../../src/circuit/line.ts';
import { localPlane, type Plane } from '../../src/circuit/plane.ts';
import { circuitText } from '../../src/circuit/writeCircuit.ts';
import { readColumns, withReference } from '../reference/folder.ts';

const turn = Array.from({ length: 300 }, (_, i) => (2 * Math.PI * i) / 300);
/** A bean of about `size` metres radius, with bends both ways, counter-clockwise. */
function bean(size: number): Float64Array[] {
  const r = turn.map((t) => size * (1 + 0.3 * Math.cos(2 * t) + 0.1 * Math.sin(3 * t)));
  return [
    Float64Array.from(turn, (t, i) => r[i]! * Math.cos(t)),
    Float64Array.from(turn, (t, i) => r[i]! * Math.sin(t)),
  ];
}
const even = (value: number): Float64Array => new Float64Array(300).fill(value);
const point = (): LinePoint => new LinePoint();

describe('a circuit made from points', () => {
  const planes: [string, Plane | null, number][] = [
    // Longitude and latitude are rounded to 1e-8 degrees (1.1 mm), metres to 1e-4.
    ['in degrees', localPlane(-37.2, 144.9, 180), 1.2e-3],
    ['in metres of its own', null, 1e-4],
  ];
  test.each(planes)('is read back as it was written, %s', (_, plane, tolerance) => {
    const drawing = circuitFromPoints({
      name: 'Bean "one"',
      plane,
      line: bean(300),
      widths: { leftM: even(6), rightM: even(4) },
      gateStationM: 40,
    });
    const text = circuitText({
      ...drawing,
      corners: [{ name: '1', eastM: drawing.eastM[90]!, northM: drawing.northM[90]! }],
    });
    const { circuit, problems } = readCircuit(text, 'bean.geojson', 'bean');
    expect(problems).toEqual([]);
    expect(circuit!.name).toBe('Bean "one"');
    expect(circuit!.corners).toHaveLength(1);
    expect(circuit!.edges!.left[0]!.length).toBe(301);
    const again = readCircuit(text, 'bean.geojson', 'bean').circuit!;
    expect(again.lengthM).toBe(circuit!.lengthM);

    // Every point of the drawing lies on the line read, up to rounding; in degrees after a change of plane.
    const place = (east: number, north: number) => {
      if (!plane) return { eastM: east, northM: north };
      const { latDeg, lonDeg } = plane.latLon(east, north);
      return circuit!.plane!.toPlane(latDeg, lonDeg);
    };
    for (let i = 0; i < 300; i += 7) {
      const { eastM, northM } = place(drawing.eastM[i]!, drawing.northM[i]!);
      const near: { offsetM: number }[] = [];
      const count = circuit!.line.candidates(eastM, northM, 1, near as never);
      expect(Math.min(...near.slice(0, count).map((foot) => Math.abs(foot.offsetM)))).toBeLessThan(tolerance);
    }
    // The gate lies 40 m after the first point.
    const start = place(drawing.eastM[0]!, drawing.northM[0]!);
    const back = circuit!.line.at(circuit!.lengthM - 40, point());
    expect(Math.hypot(back.eastM - start.eastM, back.northM - start.northM)).toBeLessThan(5 * tolerance);
  });

  test('the same drawing gives the same bytes, and writing what was read changes no byte', () => {
    const drawing = circuitFromPoints({ name: 'Bean', plane: null, line: bean(2.5) });
    const text = circuitText(drawing);
    expect(circuitText(circuitFromPoints({ name: 'Bean', plane: null, line: bean(2.5) }))).toBe(text);
    const parsed = JSON.parse(text);
    expect(parsed.plane).toBe('metres');
    const points: number[][] = parsed.features[0].geometry.coordinates;
    expect(points[0]).toEqual(points.at(-1));
    const again = circuitText({
      ...drawing,
      eastM: points.map(([x]) => x!),
      northM: points.map(([, y]) => y!),
    });
    expect(again).toBe(text);
  });

  test('has its gate across, wider than the course and half as much', () => {
    const { gate } = circuitFromPoints({
      name: 'Bean',
      plane: null,
      line: bean(300),
      widths: { leftM: even(6), rightM: even(4) },
    });
    // Left edge at 6 m, right at -4 m: a quarter of the width of 10 m beyond each.
    expect(Math.hypot(gate.leftEastM - 390, gate.leftNorthM)).toBeCloseTo(8.5, 1);
    expect(Math.hypot(gate.rightEastM - 390, gate.rightNorthM)).toBeCloseTo(6.5, 1);
  });

  test('a gate does not reach the next limb', () => {
    // Two straights 8 m apart, and nothing said about the width: 12 m would reach over.
    const x: number[] = [];
    const y: number[] = [];
    for (let s = -200; s < 200; s += 4) [x[x.length], y[y.length]] = [s, 0];
    for (let a = 0; a < Math.PI; a += 0.3) [x[x.length], y[y.length]] = [200 + 4 * Math.sin(a), 4 - 4 * Math.cos(a)];
    for (let s = 200; s > -200; s -= 4) [x[x.length], y[y.length]] = [s, 8];
    for (let a = 0; a < Math.PI; a += 0.3) [x[x.length], y[y.length]] = [-200 - 4 * Math.sin(a), 4 + 4 * Math.cos(a)];
    const line = [Float64Array.from(x), Float64Array.from(y)];
    const drawing = circuitFromPoints({ name: 'Pin', plane: null, line, gateStationM: 100 });
    const { circuit, problems } = readCircuit(circuitText(drawing), 'pin.geojson', 'pin');
    expect(problems).toEqual([]);
    const { gate } = circuit!;
    expect(crossings(circuit!.line, gate.leftEastM, gate.leftNorthM, gate.rightEastM, gate.rightNorthM)).toHaveLength(
      1,
    );
    expect(gate.leftNorthM).toBeGreaterThan(6);
  });

  test('without a line or edges is refused', () => {
    expect(() => circuitFromPoints({ name: 'x', plane: null })).toThrow(/neither a line nor two edges/);
  });
});

describe('edges beside the line', () => {
  test('are where the widths put them, at any station', () => {
    const drawing = circuitFromPoints({
      name: 'Bean',
      plane: null,
      line: bean(300),
      widths: { leftM: Float64Array.from(turn, (t) => 6 + Math.sin(t)), rightM: even(4) },
    });
    const { circuit } = readCircuit(circuitText(drawing), 'bean.geojson', 'bean');
    for (let i = 0; i < 300; i += 11) {
      const near: { stationM: number }[] = [];
      circuit!.line.candidates(drawing.eastM[i]!, drawing.northM[i]!, 1, near as never);
      const { leftM, rightM } = edgesAt(circuit!, near[0]!.stationM);
      // Between points the drawn edge is a chord, 6 m long on a radius of 50 m or more: 0.1 m.
      expect(Math.abs(leftM! - (6 + Math.sin(turn[i]!)))).toBeLessThan(0.1);
      expect(Math.abs(rightM! + 4)).toBeLessThan(0.1);
    }
    expect(edgesAt(circuit!, -5).leftM).toBeCloseTo(edgesAt(circuit!, circuit!.lengthM - 5).leftM!, 9);
  });

  test('are unknown where nobody drew them', () => {
    const bare = readCircuit(circuitText(circuitFromPoints({ name: 'B', plane: null, line: bean(300) })), 'b', 'b');
    expect(edgesAt(bare.circuit!, 12)).toEqual({ leftM: null, rightM: null });
    const half = circuitFromPoints({
      name: 'B',
      plane: null,
      line: bean(300),
      widths: { leftM: even(5), rightM: even(5) },
    });
    const cut = half.edges!.left.map((values) => Array.from(values).slice(0, 150));
    const text = circuitText(half).replace(/"edge-left"[^}]*}[^}]*}/, () => {
      const coordinates = cut[0]!.map((x, i) => [x, cut[1]![i]!]);
      return `"edge-left" }, "geometry": ${JSON.stringify({ type: 'LineString', coordinates })}`;
    });
    const { circuit } = readCircuit(text, 'b', 'b');
    expect(edgesAt(circuit!, 0.25 * circuit!.lengthM).leftM).toBeCloseTo(5, 0);
    expect(edgesAt(circuit!, 0.75 * circuit!.lengthM).leftM).toBeNull();
    expect(edgesAt(circuit!, 0.75 * circuit!.lengthM).rightM).toBeCloseTo(-5, 0);
  });
});

withReference('widths of real circuits: h-data/circuits.json', () => {
  test.each(['01', '02', '03', '06'])('circuit-%s: the course is as wide as its table says', (number) => {
    const { x_m, y_m, w_tr_right_m, w_tr_left_m } = readColumns(`h-data/circuit-${number}.csv`) as Record<
      'x_m' | 'y_m' | 'w_tr_right_m' | 'w_tr_left_m',
      Float64Array
    >;
    const drawing = circuitFromPoints({
      name: number,
      plane: null,
      line: [x_m, y_m],
      widths: { leftM: w_tr_left_m, rightM: w_tr_right_m },
    });
    const { circuit, problems } = readCircuit(circuitText(drawing), 'c', 'c');
    expect(problems).toEqual([]);
    const errors: number[] = [];
    for (let i = 0; i < x_m.length; i++) {
      const near: { stationM: number; offsetM: number }[] = [];
      const count = circuit!.line.candidates(x_m[i]!, y_m[i]!, 0.01, near as never);
      expect(count).toBe(1);
      const { leftM, rightM } = edgesAt(circuit!, near[0]!.stationM);
      errors.push(Math.abs(leftM! - w_tr_left_m[i]!), Math.abs(rightM! + w_tr_right_m[i]!));
    }
    errors.sort((a, b) => a - b);
    // The drawn edge is made of chords: 5 m long on a radius of 16 m, that is 0.2 m; more in the tightest hairpin.
    expect(errors[Math.floor(0.99 * errors.length)]).toBeLessThan(0.2);
    expect(errors.at(-1)).toBeLessThan(1);
  });
});
