import { describe, expect, test } from 'vitest';
import { localPlane } from '../../src/circuit/plane.ts';
import { readPlainLine } from '../../src/circuit/readPlainLine.ts';
import { problemText } from '../../src/problem.ts';
import { readReference, withReference } from '../reference/folder.ts';

const read = (text: string) => readPlainLine(text, 'line.csv');

describe('a line of points from a table', () => {
  test('has x and y under their names, in any order, with widths where both are there', () => {
    const { line, problems } = read('left [m],y [m],right [m],x [m]\n1,2,3,4\n1,3,3,5\n1,4,3,6\n2,5,3,7\n');
    expect(problems).toEqual([]);
    expect(line).toEqual({
      plane: null,
      eastM: Float64Array.of(4, 5, 6, 7),
      northM: Float64Array.of(2, 3, 4, 5),
      widths: { leftM: Float64Array.of(1, 1, 1, 2), rightM: Float64Array.of(3, 3, 3, 3) },
    });
  });

  test('without a heading takes the first two columns', () => {
    const { line } = read('0,1,7\n1,1,7\n1,2,7\n0,2,7\n');
    expect([line!.eastM, line!.northM, line!.widths]).toEqual([
      Float64Array.of(0, 1, 1, 0),
      Float64Array.of(1, 1, 2, 2),
      null,
    ]);
  });

  test('with semicolons and decimal commas is read alike', () => {
    const { line } = read('east;north\r\n0,5;1\r\n1,5;1\r\n1;2,25\r\n0;2\r\n');
    expect(line!.eastM).toEqual(Float64Array.of(0.5, 1.5, 1, 0));
    expect(line!.northM).toEqual(Float64Array.of(1, 1, 2.25, 2));
  });

  test('in degrees is laid on the plane in its middle, or on the one that is given', () => {
    const text = 'lat,lon\n45,9\n45,9.01\n45.02,9.01\n45.02,9\n';
    const { line } = read(text);
    expect(line!.plane!.latDeg).toBeCloseTo(45.01, 12);
    expect(line!.plane!.lonDeg).toBeCloseTo(9.005, 12);
    expect(line!.eastM[0]).toBeCloseTo(-line!.eastM[1]!, 6);
    const given = localPlane(45, 9);
    const laid = readPlainLine(text, 'line.csv', given).line!;
    expect(laid.plane).toBe(given);
    expect([laid.eastM[0], laid.northM[0]]).toEqual([0, 0]);
  });

  test('that cannot be read is told with its place', () => {
    const told = [
      '',
      'a,b\nc,d\n',
      'x,z\n1,2\n3,4\n5,6\n7,8\n',
      'x,y\n1,2\n3,4\n',
      'x,y\n1,2\n3,4\n5,6\n\n7,n/a\n9,9\n',
    ];
    expect(told.flatMap((text) => read(text).problems.map(problemText)).join('\n')).toMatchInlineSnapshot(`
      "stop CIRCUIT_INVALID line.csv
        found no table of numbers
        expected columns x and y in metres, or lat and lon in degrees
        give a CSV file of points
      stop CIRCUIT_INVALID line.csv
        found no table of numbers
        expected columns x and y in metres, or lat and lon in degrees
        give a CSV file of points
      stop COLUMN_MISSING line.csv
        found columns x, z
        expected columns x and y in metres, or lat and lon in degrees
        name the columns so
      stop CIRCUIT_INVALID line.csv
        found 2 points
        expected at least 4 points
        give more points
      stop CELL_UNREADABLE line.csv:6
        found "n/a" in column y
        expected a number
        mend the cell, or take the line out"
    `);
    for (const text of told) expect(read(text).line).toBeNull();
  });
});

withReference('tables of the reference folder', () => {
  test.each([
    ['h-data/circuit-01.csv', 1102, true],
    ['h-data/sim-course-a-centre.csv', 666, false],
    ['h-data/real-road-course-edge-inner.csv', 2877, false],
    ['h-data/latlon-circuit-01.csv', 146, false],
  ])('%s has %i points', (path, points, widths) => {
    const { line, problems } = readPlainLine(readReference(path), path);
    expect(problems).toEqual([]);
    expect(line!.eastM.length).toBe(points);
    expect(line!.widths !== null).toBe(widths);
    expect(line!.plane !== null).toBe(path.includes('latlon'));
  });
});
