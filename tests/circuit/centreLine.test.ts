import { describe, expect, test } from 'vitest';
import { centreLine } from '../../src/circuit/centreLine.ts';
import { type ClosedLine, closedLine, type Foot, LinePoint } from '../../src/circuit/line.ts';
import { readReference, withReference } from '../reference/folder.ts';

const point = (): LinePoint => new LinePoint();

/** A line moved sideways by an offset, sampled at even stations. */
function beside(line: ClosedLine, offsetM: number, count: number): Float64Array[] {
  const places = Array.from({ length: count }, (_, k) => {
    const { eastM, northM, headingRad } = line.at((k / count) * line.lengthM, point());
    return [eastM - offsetM * Math.sin(headingRad), northM + offsetM * Math.cos(headingRad)];
  });
  return [0, 1].map((axis) => Float64Array.from(places, (place) => place[axis]!));
}

/** Largest distance from the first line to the second. */
function farthest(from: ClosedLine, to: ClosedLine): number {
  const near: Foot[] = [];
  let most = 0;
  for (let k = 0; k < 500; k++) {
    const { eastM, northM } = from.at((k / 500) * from.lengthM, point());
    const count = to.candidates(eastM, northM, to.lengthM, near);
    most = Math.max(most, Math.min(...near.slice(0, count).map((foot) => Math.abs(foot.offsetM))));
  }
  return most;
}
const lineOf = ({ eastM, northM }: { eastM: Float64Array; northM: Float64Array }) => closedLine(eastM, northM);

const turn = Array.from({ length: 400 }, (_, i) => (2 * Math.PI * i) / 400);
const eight = closedLine(
  turn.map((t) => (300 * Math.cos(t)) / (1 + Math.sin(t) ** 2)),
  turn.map((t) => (300 * Math.sin(t) * Math.cos(t)) / (1 + Math.sin(t) ** 2)),
);
const bean = closedLine(
  turn.map((t) => 200 * (1 + 0.3 * Math.cos(2 * t)) * Math.cos(t)),
  turn.map((t) => 200 * (1 + 0.3 * Math.cos(2 * t)) * Math.sin(t)),
);

describe('the line between two edges', () => {
  test.each([
    ['a bean', bean],
    ['a figure eight', eight],
  ])('runs in the middle of %s, from the first point of the left edge on', (_, truth) => {
    const [left, right] = [beside(truth, 5, 500), beside(truth, -5, 300)];
    const middle = centreLine(left, right);
    const line = lineOf(middle);
    expect(farthest(line, truth)).toBeLessThan(0.2);
    expect(farthest(truth, line)).toBeLessThan(0.2);
    const start = truth.at(0, point());
    expect(Math.hypot(middle.eastM[0]! - start.eastM, middle.northM[0]! - start.northM)).toBeLessThan(0.2);
  });

  test('runs with the left edge, whichever way the right one was drawn and wherever it starts', () => {
    const left = beside(bean, 5, 500);
    const right = beside(bean, -5, 300);
    const turned = right.map((values) => Float64Array.from([...values.slice(120), ...values.slice(0, 120)]).reverse());
    const [one, other] = [centreLine(left, right), centreLine(left, turned)];
    expect(farthest(lineOf(one), lineOf(other))).toBeLessThan(0.1);
    for (const { eastM, northM } of [one, other]) {
      // The bean runs counter-clockwise: its area is positive.
      const area = eastM.reduce((sum, x, i) => {
        const j = (i + 1) % eastM.length;
        return sum + x * northM[j]! - eastM[j]! * northM[i]!;
      }, 0);
      expect(area).toBeGreaterThan(0);
    }
  });

  test('is refused for an edge of too few points', () => {
    expect(() => centreLine([Float64Array.of(0, 1), Float64Array.of(0, 1)], beside(bean, 5, 50))).toThrow(RangeError);
  });
});

withReference('edges of the road course: h-data/real-road-course-edge-*.csv', () => {
  const edge = (name: string): Float64Array[] => {
    const rows = readReference(`h-data/real-road-course-edge-${name}.csv`)
      .trim()
      .split('\n')
      .map((row) => row.split(',').map(Number));
    return [0, 1].map((column) => Float64Array.from(rows, (row) => row[column]!));
  };
  test('the line is as far from both, within 2 % of the width', () => {
    const [inner, outer] = [edge('inner'), edge('outer')] as const;
    const line = lineOf(centreLine(inner, outer));
    const [one, other] = [closedLine(inner[0]!, inner[1]!), closedLine(outer[0]!, outer[1]!)];
    const nearest = (to: ClosedLine, { eastM, northM }: LinePoint): number => {
      const near: Foot[] = [];
      const count = to.candidates(eastM, northM, 20, near);
      return Math.min(...near.slice(0, count).map((foot) => Math.abs(foot.offsetM)));
    };
    for (let k = 0; k < 500; k++) {
      const place = line.at((k / 500) * line.lengthM, point());
      const [a, b] = [nearest(one, place), nearest(other, place)];
      expect(Math.abs(a - b) / 2).toBeLessThan(0.02 * (a + b));
    }
  });
});
