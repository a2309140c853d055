import { describe, expect, test } from 'vitest';
import { crossings } from '../../src/circuit/crossings.ts';
import { closedLine } from '../../src/circuit/line.ts';

const turn = Array.from({ length: 400 }, (_, i) => (2 * Math.PI * i) / 400);
const circle = closedLine(
  turn.map((t) => 100 * Math.cos(t)),
  turn.map((t) => 100 * Math.sin(t)),
);

describe('crossings of a line and a segment', () => {
  test('a radius is crossed once, a diameter twice', () => {
    const [one, ...rest] = crossings(circle, 90, 0.001, 120, 0.001);
    expect(rest).toEqual([]);
    expect(one!.stationM).toBeCloseTo(0.001, 4);
    expect(one!.share).toBeCloseTo(1 / 3, 6);
    // Travel goes north there, the segment points east: to the right.
    expect(one!.sine).toBeCloseTo(-1, 6);
    const both = crossings(circle, 0, -150, 0, 150);
    expect(both.map(({ stationM }) => stationM / (100 * Math.PI))).toEqual([
      expect.closeTo(0.5, 5),
      expect.closeTo(1.5, 5),
    ]);
    expect(both[0]!.sine * both[1]!.sine).toBeCloseTo(-1, 6);
  });

  test('a segment that ends before the line, or has no length, is not crossed', () => {
    expect(crossings(circle, 0, 0, 99.9, 0)).toEqual([]);
    expect(crossings(circle, 100, 0, 100, 0)).toEqual([]);
  });

  test('a short gate on a long line is found', () => {
    const long = closedLine(
      turn.map((t) => 4000 * Math.cos(t)),
      turn.map((t) => 4000 * Math.sin(t)),
    );
    expect(crossings(long, 0, 3995, 0, 4005)).toHaveLength(1);
  });
});
