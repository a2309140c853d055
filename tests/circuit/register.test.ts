import { describe, expect, test } from 'vitest';
import { type Circuit, readCircuit } from '../../src/circuit/circuit.ts';
import { circuitFromPoints } from '../../src/circuit/circuitFromPoints.ts';
import { register } from '../../src/circuit/register.ts';
import { circuitText } from '../../src/circuit/writeCircuit.ts';

/** A closed curve r(t) without symmetry, turned, shifted, scaled, and begun somewhere else. */
function circuit(turn: number, east: number, north: number, scale: number, first: number): Circuit {
  const n = 700;
  const xs = new Float64Array(n);
  const ys = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const t = (2 * Math.PI * (i + first)) / n;
    const r = scale * 300 * (1 + 0.15 * Math.cos(3 * t) + 0.08 * Math.sin(5 * t) + 0.1 * Math.cos(t));
    const [x, y] = [r * Math.cos(t), r * Math.sin(t)];
    xs[i] = Math.cos(turn) * x - Math.sin(turn) * y + east;
    ys[i] = Math.sin(turn) * x + Math.cos(turn) * y + north;
  }
  const text = circuitText(circuitFromPoints({ name: 'curve', plane: null, line: [xs, ys] }));
  return readCircuit(text, 'curve.geojson', 'curve').circuit!;
}

describe('a simulator’s circuit laid over the campaign’s', () => {
  const campaign = circuit(0, 0, 0, 1, 0);

  test.each([
    [0.7, 123, -45, 90],
    [-2.4, -800, 300, 411],
    [3.1, 5, 5, 0],
  ])(
    'turned by %s rad, shifted by %s and %s m and begun at point %s, it comes back within 2 cm',
    (turn, east, north, first) => {
      const move = register(circuit(turn, east, north, 1, first), campaign);
      expect(move.residualM).toBeLessThan(0.02);
      // The simulator's origin must come to lie where the inverse of the turn and shift puts it.
      const expectEast = -(Math.cos(turn) * east + Math.sin(turn) * north);
      const expectNorth = Math.sin(turn) * east - Math.cos(turn) * north;
      expect(Math.abs(move.eastM - expectEast)).toBeLessThan(0.02);
      expect(Math.abs(move.northM - expectNorth)).toBeLessThan(0.02);
      expect(Math.abs(Math.sin(move.turnRad + turn))).toBeLessThan(1e-4);
    },
  );

  test('a circuit of another scale does not fit within the 0.3 m that are let pass', () => {
    expect(register(circuit(0.7, 123, -45, 1.01, 90), campaign).residualM).toBeGreaterThan(0.3);
  });
});
