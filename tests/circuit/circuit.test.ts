import { describe, expect, test } from 'vitest';
import { readCircuit } from '../../src/circuit/circuit.ts';
import { LinePoint } from '../../src/circuit/line.ts';
import { problemText } from '../../src/problem.ts';

/** An oval of two straights of 300 m and half circles of 50 m radius, counter-clockwise from the middle of the lower one. */
function oval(offset = 0): number[][] {
  const r = 50 - offset;
  const points: number[][] = [];
  for (let s = 0; s < 150; s += 5) points.push([s, offset]);
  for (let a = -90; a < 90; a += 5) points.push([150 + r * cos(a), 50 + r * sin(a)]);
  for (let s = 150; s > -150; s -= 5) points.push([s, 100 - offset]);
  for (let a = 90; a < 270; a += 5) points.push([-150 + r * cos(a), 50 + r * sin(a)]);
  for (let s = -150; s <= 0; s += 5) points.push([s, offset]);
  return points;
}
const cos = (deg: number): number => Math.cos((deg * Math.PI) / 180);
const sin = (deg: number): number => Math.sin((deg * Math.PI) / 180);
const LENGTH = 600 + 100 * Math.PI;

type Item = { role: string; type?: string; coordinates: unknown; name?: string };
const feature = ({ role, type = 'LineString', coordinates, name }: Item) => ({
  type: 'Feature',
  properties: { role, name },
  geometry: { type, coordinates },
});
const file = (items: Item[], extra: object = { plane: 'metres', name: 'Oval' }): string =>
  JSON.stringify({ type: 'FeatureCollection', ...extra, features: items.map(feature) });
const line: Item = { role: 'reference-line', coordinates: oval() };
const gate: Item = {
  role: 'gate',
  coordinates: [
    [100, 12],
    [100, -12],
  ],
};
const left: Item = { role: 'edge-left', coordinates: oval(5) };
const right: Item = { role: 'edge-right', coordinates: oval(-6) };

const read = (items: Item[], extra?: object) => readCircuit(file(items, extra), 'oval.geojson', 'oval');
const texts = (items: Item[], extra?: object) => read(items, extra).problems.map(problemText);
const point = (): LinePoint => new LinePoint();

describe('a circuit file', () => {
  test('gives the line from the gate on, in the direction of travel', () => {
    const { circuit, problems } = read([line, gate]);
    expect(problems).toEqual([]);
    expect(circuit!.name).toBe('Oval');
    expect(circuit!.plane).toBeNull();
    expect(Math.abs(circuit!.lengthM - LENGTH)).toBeLessThan(0.01);
    const start = circuit!.line.at(0, point());
    expect(start.eastM).toBeCloseTo(100, 6);
    expect(start.northM).toBeCloseTo(0, 3);
    expect(circuit!.line.at(20, point()).eastM).toBeCloseTo(120, 3);
  });

  test('gives the ends of the gate as seen in travel, whichever way it was drawn', () => {
    const turned = {
      ...gate,
      coordinates: [
        [100, -12],
        [100, 12],
      ],
    };
    for (const drawn of [gate, turned]) {
      expect(read([line, drawn]).circuit!.gate).toEqual({
        leftEastM: 100,
        leftNorthM: 12,
        rightEastM: 100,
        rightNorthM: -12,
      });
    }
    // Ridden the other way round, left and right change places.
    const reversed = { ...line, coordinates: oval().reverse() };
    expect(read([reversed, gate]).circuit!.gate.leftNorthM).toBe(-12);
  });

  test('places corners and sectors by station', () => {
    const { circuit, problems } = read([
      line,
      gate,
      { role: 'corner', type: 'Point', coordinates: [-205, 50], name: '2' },
      { role: 'corner', type: 'Point', coordinates: [196, 50], name: '1' },
      {
        role: 'sector',
        coordinates: [
          [0, 80],
          [0, 120],
        ],
      },
      {
        role: 'sector',
        coordinates: [
          [120, -20],
          [120, 20],
        ],
        name: 'first',
      },
    ]);
    expect(problems).toEqual([]);
    // The gate lies 100 m along; the apexes of the half circles after 150 and 450 m of straights.
    const apex = 25 * Math.PI;
    expect(circuit!.corners.map(({ name }) => name)).toEqual(['1', '2']);
    expect(circuit!.corners[0]!.stationM).toBeCloseTo(50 + apex, 1);
    expect(circuit!.corners[1]!.stationM).toBeCloseTo(350 + 3 * apex, 1);
    expect(circuit!.sectors).toEqual([
      { name: 'first', stationM: expect.closeTo(20, 2) },
      { name: '2', stationM: expect.closeTo(200 + 2 * apex, 1) },
    ]);
  });

  test('in degrees lies on the plane in its middle, as high as it says', () => {
    // Metres per degree at 45 N, from the ellipsoid's radii there (meridian 6367381.8 m, prime vertical 6388838.3 m).
    const [perLat, perLon] = [(6367381.8 * Math.PI) / 180, (6388838.3 * Math.PI * Math.SQRT1_2) / 180];
    const degrees = (points: number[][]) => points.map(([x, y]) => [179.999 + x! / perLon, 45 + y! / perLat, 250]);
    const wrap = (points: number[][]) => points.map(([lon, lat, h]) => [lon! > 180 ? lon! - 360 : lon!, lat!, h!]);
    const { circuit, problems } = read(
      [
        { ...line, coordinates: wrap(degrees(oval())) },
        {
          ...gate,
          coordinates: wrap(
            degrees([
              [100, 12],
              [100, -12],
            ]),
          ),
        },
      ],
      {},
    );
    expect(problems).toEqual([]);
    expect(circuit!.name).toBe('oval');
    expect(circuit!.plane!.heightM).toBeCloseTo(250, 9);
    expect(circuit!.plane!.latDeg).toBeCloseTo(45 + 50 / perLat, 9);
    expect(circuit!.plane!.lonDeg).toBeCloseTo(179.999, 9);
    // 250 m up, everything is longer by 250 m over the radius of the earth.
    expect(Math.abs(circuit!.lengthM / LENGTH - 1 - 250 / 6378000)).toBeLessThan(1e-5);
  });

  test('with both edges and no line runs in their middle, and says so', () => {
    const { circuit, problems } = read([left, right, gate]);
    expect(problems.map(({ severity }) => severity)).toEqual(['note']);
    const place = point();
    for (let s = 0; s < circuit!.lengthM; s += 50) {
      circuit!.line.at(s, place);
      const beyond = Math.max(0, Math.abs(place.eastM) - 150);
      const radius = Math.hypot(beyond, place.northM - 50);
      // Middle of 5 m left and 6 m right: half a metre right; within 2 % of the width.
      expect(Math.abs(radius - 50.5)).toBeLessThan(0.22);
    }
  });

  test('keeps what it has where an addition is wrong', () => {
    const { circuit, problems } = read([
      line,
      gate,
      { role: 'corner', type: 'Point', coordinates: [0, 50], name: 'far' },
      { role: 'corner', type: 'Point', coordinates: [196, 50] },
      {
        role: 'sector',
        coordinates: [
          [0, 40],
          [0, 60],
        ],
      },
      { role: 'edge-left', coordinates: oval(5) },
      {
        role: 'pit',
        coordinates: [
          [0, 0],
          [1, 1],
        ],
      },
    ]);
    expect(circuit!.corners).toEqual([]);
    expect(circuit!.sectors).toEqual([]);
    expect(circuit!.edges).toBeNull();
    expect(problems.map(({ severity, place }) => `${severity} ${place.key}`)).toEqual([
      'note features[6].properties.role',
      'note features[5]',
      'warn features[2]',
      'warn features[3]',
      'warn features[4]',
    ]);
  });

  test('says where edges lie on the wrong side', () => {
    expect(texts([{ ...line, coordinates: oval().reverse() }, gate, left, right])).toMatchInlineSnapshot(`
      [
        "warn CIRCUIT_INVALID oval.geojson
        found edge-left 5 m to the right of the line, edge-right beyond it
        expected the left edge on the left, seen in the direction of travel
        turn the reference line round where it runs against travel, else exchange the edges",
      ]
    `);
  });
});

describe('what is wrong with a circuit file', () => {
  test('is told with its place, and nothing is thrown', () => {
    const cases: [string, string][] = [
      ['cut', '{"type": "FeatureCollection",\n "features": [\n'],
      ['list', '[1, 2]'],
      ['feature', '{"type": "Feature"}'],
      ['plane', file([line, gate], { plane: 'feet' })],
      ['no line', file([gate])],
      ['no gate', file([line])],
      ['two lines', file([line, line, gate])],
      [
        'swapped',
        file(
          [
            {
              ...line,
              coordinates: [
                [45, 179],
                [179, 95.5],
                [1, 1],
              ],
            },
            gate,
          ],
          {},
        ),
      ],
      [
        'a word',
        file([
          {
            ...line,
            coordinates: [
              [0, 0],
              ['1', 1],
            ],
          },
          gate,
        ]),
      ],
      [
        'few points',
        file([
          {
            ...line,
            coordinates: [
              [0, 0],
              [9, 0],
              [9, 0],
              [0, 0],
            ],
          },
          gate,
        ]),
      ],
      ['open', file([{ ...line, coordinates: oval().slice(0, 90) }, gate])],
      [
        'gate aside',
        file([
          line,
          {
            ...gate,
            coordinates: [
              [100, 12],
              [100, 2],
            ],
          },
        ]),
      ],
      [
        'gate along',
        file([
          line,
          {
            ...gate,
            coordinates: [
              [80, -3],
              [120, 3],
            ],
          },
        ]),
      ],
      ['polygon', file([{ ...line, type: 'Polygon', coordinates: [oval()] }, gate])],
      ['null', '{"type": "FeatureCollection", "features": [null, {"properties": {"role": "gate"}}]}'],
    ];
    const told = cases.map(([name, text]) => {
      const { circuit, problems } = readCircuit(text, 'oval.geojson', 'oval');
      expect(circuit, name).toBeNull();
      expect(
        problems.some(({ severity }) => severity === 'stop'),
        name,
      ).toBe(true);
      return `${name}: ${problems.map(problemText).join('\n')}`;
    });
    expect(told.join('\n')).toMatchInlineSnapshot(`
      "cut: stop CIRCUIT_INVALID oval.geojson:3
        found text that is not JSON from here on
        expected a GeoJSON FeatureCollection (RFC 7946)
        draw it anew, or let \`gapbook new circuit\` write the file
      list: stop CIRCUIT_INVALID oval.geojson
        found [1,2]
        expected a GeoJSON FeatureCollection with a list of features
        draw it anew, or let \`gapbook new circuit\` write the file
      feature: stop CIRCUIT_INVALID oval.geojson
        found an object of type "Feature"
        expected a GeoJSON FeatureCollection with a list of features
        draw it anew, or let \`gapbook new circuit\` write the file
      plane: stop CIRCUIT_INVALID oval.geojson, key \`plane\`
        found "feet"
        expected "metres", or no \`plane\` for degrees of WGS 84
        draw it anew, or let \`gapbook new circuit\` write the file
      no line: stop CIRCUIT_INVALID oval.geojson
        found no feature with the role reference-line, nor both edges
        expected a closed LineString in the direction of travel
        draw the line, or both edges
      no gate: stop CIRCUIT_INVALID oval.geojson
        found no feature with the role gate
        expected a timing line
        draw a LineString with the role gate across the course
      two lines: stop CIRCUIT_INVALID oval.geojson, key \`features[1]\`
        found a second reference-line
        expected one
        take one out; an edge in parts wants to be one line
      swapped: stop CIRCUIT_INVALID oval.geojson, key \`features[0].geometry.coordinates[0]\`
        found [45,179]
        expected [longitude, latitude] in degrees, within ±180 and ±90
        draw it anew, or let \`gapbook new circuit\` write the file
      a word: stop CIRCUIT_INVALID oval.geojson, key \`features[0].geometry.coordinates[1]\`
        found ["1",1]
        expected [x, y] in metres
        draw it anew, or let \`gapbook new circuit\` write the file
      few points: stop CIRCUIT_INVALID oval.geojson, key \`features[0].geometry\`
        found 2 distinct points among 4; a closed line needs 4
        expected a closed line around the circuit
        draw more points
      open: stop CIRCUIT_INVALID oval.geojson, key \`features[0].geometry\`
        found a line whose ends lie 106 m apart
        expected a closed line
        draw it to the end
      gate aside: stop CIRCUIT_INVALID oval.geojson, key \`features[1].geometry\`
        found a gate that the line does not pass; its middle lies 7 m from the line
        expected a gate across the course that the reference line passes once
        move the gate, or make it longer
      gate along: stop CIRCUIT_INVALID oval.geojson, key \`features[1].geometry\`
        found a gate at 9 degrees to the line
        expected a gate across the course that the reference line passes once
        draw it across the course
      polygon: stop CIRCUIT_INVALID oval.geojson, key \`features[0].geometry\`
        found reference-line as "Polygon"
        expected a LineString
        draw it anew, or let \`gapbook new circuit\` write the file
      null: note CIRCUIT_INVALID oval.geojson, key \`features[0].properties.role\`
        found nothing
        expected one of reference-line, gate, edge-left, edge-right, corner, sector
        the feature is left out; give it a role if it should count
      stop CIRCUIT_INVALID oval.geojson, key \`features[1].geometry\`
        found gate as nothing
        expected a LineString
        draw it anew, or let \`gapbook new circuit\` write the file"
    `);
  });

  test('a gate that is passed twice is taken where its middle is', () => {
    const both = {
      ...gate,
      coordinates: [
        [100, 107],
        [100, -20],
      ],
    };
    const { circuit, problems } = read([line, both]);
    expect(problems.map(problemText)).toMatchInlineSnapshot(`
      [
        "warn CIRCUIT_INVALID oval.geojson, key \`features[1].geometry\`
        found a gate that the line passes 2 times, 100 m, 357 m after its first point
        expected a gate across the course that the reference line passes once
        the pass nearest the middle of the gate is used; make the gate shorter",
      ]
    `);
    expect(circuit!.line.at(0, point()).northM).toBeCloseTo(0, 3);
  });

  test('a gap is bridged and told', () => {
    const { circuit, problems } = read([{ ...line, coordinates: oval().slice(0, -9) }, gate]);
    expect(circuit).not.toBeNull();
    expect(problems.map(problemText)).toMatchInlineSnapshot(`
      [
        "warn CIRCUIT_INVALID oval.geojson, key \`features[0].geometry\`
        found a line whose ends lie 45 m apart
        expected a closed line
        the gap is closed by the curve; draw it to the end",
      ]
    `);
  });
});
