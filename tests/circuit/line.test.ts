import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type ClosedLine, closedLine, Foot, LinePoint, startAt } from '../../src/circuit/line.ts';
import { readCheck, readColumns, withReference } from '../reference/folder.ts';

const point = (): LinePoint => new LinePoint();
const foot = (): Foot => new Foot();
const at = (line: ClosedLine, stationM: number): LinePoint => line.at(stationM, point());

/** Distance between two stations, the short way round. */
function apart(a: number, b: number, length: number): number {
  const d = (((a - b) % length) + length) % length;
  return Math.min(d, length - d);
}
const angleApart = (a: number, b: number): number => apart(a, b, 2 * Math.PI);

/** Line through a curve sampled at even steps of its parameter over a full turn. */
function sampled(n: number, curve: (t: number) => readonly [number, number]): ClosedLine {
  const places = Array.from({ length: n }, (_, i) => curve((2 * Math.PI * i) / n));
  return closedLine(
    places.map(([x]) => x),
    places.map(([, y]) => y),
  );
}
const circle = (radius: number) => (t: number) => [radius * Math.cos(t), radius * Math.sin(t)] as const;
const ellipse = (a: number, b: number) => (t: number) => [a * Math.cos(t), b * Math.sin(t)] as const;
const eight = (a: number) => (t: number) => {
  const shrink = 1 + Math.sin(t) ** 2;
  return [(a * Math.cos(t)) / shrink, (a * Math.sin(t) * Math.cos(t)) / shrink] as const;
};
function lineOf(path: string, x = 'x_m', y = 'y_m'): ClosedLine {
  const columns = readColumns(path);
  return closedLine(columns[x]!, columns[y]!);
}

// Clothoid and Fresnel cases (b-curves/clothoid.json, fresnel.json) do not apply: the product lays splines through
// points and has no such curve of its own.

withReference('b-curves/circle.json', () => {
  const check = readCheck('b-curves/circle.json');
  test.each(check.cases)('$id: $in.n_points_equal_angle points', ({ in: input, out }) => {
    const { radius_m, n_points_equal_angle: n } = input as Record<'radius_m' | 'n_points_equal_angle', number>;
    const { length_m, curvature_per_m } = out as Record<'length_m' | 'curvature_per_m', number>;
    const line = sampled(n, circle(radius_m));
    // The file states 1e-5 for 36 points; the error of a cubic grows with the fourth power of the spacing.
    const bound = 1e-5 * Math.max(1, (36 / n) ** 4);
    expect(Math.abs(line.lengthM / length_m - 1)).toBeLessThan(bound);
    expect(line.points).toBe(n);
    // Curvature is a second derivative: two orders less, (2 pi / n)² / 12 in theory.
    const loose = (2 * Math.PI) ** 2 / n ** 2 / 6;
    for (const share of [0, 0.13, 0.5, 0.77]) {
      expect(Math.abs(at(line, share * length_m).curvaturePerM / curvature_per_m - 1)).toBeLessThan(loose);
    }
  });
});

withReference('b-curves/ellipse.json, by 4000 points', () => {
  const check = readCheck<Record<string, number>>('b-curves/ellipse.json');
  const cases = (kind: string) => check.cases.filter((one) => one.kind!.startsWith(kind));
  test.each(cases('perimeter'))('$id: perimeter and curvature', ({ in: { a_m, b_m }, out }) => {
    const { length_m, max_curvature_per_m, min_curvature_per_m } = out;
    const line = sampled(4000, ellipse(a_m!, b_m!));
    expect(Math.abs(line.lengthM - length_m!)).toBeLessThan(check.tolerance.length_m!);
    // Second derivatives of a cubic spline are off by the square of the step over the radius, here up to 1e-4.
    expect(at(line, 0).curvaturePerM / max_curvature_per_m!).toBeCloseTo(1, 4);
    expect(at(line, length_m! / 4).curvaturePerM / min_curvature_per_m!).toBeCloseTo(1, 3);
  });
  test.each(cases('arc'))('$id: arc from $in.t1 to $in.t2', ({ in: { a_m, b_m, t1, t2 }, out: { length_m } }) => {
    const line = sampled(4000, ellipse(a_m!, b_m!));
    const station = (t: number): number => {
      const [x, y] = ellipse(a_m!, b_m!)(t);
      return line.foot(x, y, (t / (2 * Math.PI)) * line.lengthM, foot()).stationM;
    };
    const to = Math.abs(t2! - 2 * Math.PI) < 1e-9 ? line.lengthM : station(t2!);
    expect(Math.abs(to - station(t1!) - length_m!)).toBeLessThan(2 * check.tolerance.length_m!);
  });
  test.each(cases('foot'))('$id: foot of ($in.x_m, $in.y_m)', ({ in: { a_m, b_m, x_m, y_m }, out }) => {
    const { s_m, lateral_left_positive_m } = out;
    const line = sampled(4000, ellipse(a_m!, b_m!));
    const got = line.foot(x_m!, y_m!, s_m! - 40, foot());
    expect(Math.abs(got.stationM - s_m!)).toBeLessThan(check.tolerance.foot_s_m!);
    expect(Math.abs(got.offsetM - lateral_left_positive_m!)).toBeLessThan(check.tolerance.foot_lateral_m!);
    const found: Foot[] = [];
    expect(line.candidates(x_m!, y_m!, 30, found)).toBe(1);
    expect(Math.abs(found[0]!.stationM - s_m!)).toBeLessThan(check.tolerance.foot_s_m!);
  });
  test('the sampled file gives the same perimeter to a millimetre', () => {
    const { length_m } = check.cases.find((one) => one.id === 'b4-01')!.out;
    expect(Math.abs(lineOf('b-curves/ellipse-500-300.csv').lengthM - length_m!)).toBeLessThan(1e-3);
  });
});

withReference('b-curves/closed-polar.json, by the 360 points of its file', () => {
  const check = readCheck('b-curves/closed-polar.json');
  const line = lineOf('b-curves/closed-polar.csv');
  test.each(check.cases.filter((one) => one.kind === 'length'))('$id: length', ({ out: { length_m } }) => {
    expect(Math.abs(line.lengthM - length_m!)).toBeLessThan(check.tolerance.length_m!);
  });
  test.each(check.cases.filter((one) => one.kind === 'curvature'))('$id: station and curvature', ({ out }) => {
    const { x_m, y_m, s_m, curvature_per_m } = out;
    const got = line.foot(x_m!, y_m!, s_m! + 5, foot());
    expect(Math.abs(got.stationM - s_m!)).toBeLessThan(check.tolerance.s_m!);
    expect(Math.abs(got.curvaturePerM - curvature_per_m!)).toBeLessThan(check.tolerance.curvature_per_m!);
    const place = at(line, s_m!);
    expect(Math.hypot(place.eastM - x_m!, place.northM - y_m!)).toBeLessThan(check.tolerance.s_m!);
  });
});

interface Course {
  length_m: number;
  pieces: [number, number, number][];
  s_m: number;
  lateral_left_positive_m: number;
  heading_rad: number;
  curvature_per_m: number;
}

withReference('b-curves/courses.json', () => {
  const check = readCheck<{ file: string; x_m: number; y_m: number }, Course>('b-curves/courses.json');
  const lengths = check.cases.filter((one) => one.kind === 'length');
  /** Starts of the pieces of a course. */
  const joins = (file: string): number[] => {
    let s = 0;
    return lengths.find((one) => one.in.file === file)!.out.pieces.map(([length]) => (s += length) - length);
  };
  test.each(lengths)('$id: length', ({ in: { file }, out }) => {
    expect(Math.abs(lineOf(`b-curves/${file}`).lengthM - out.length_m)).toBeLessThan(check.tolerance.length_m!);
  });
  test.each(check.cases.filter((one) => one.kind === 'foot point'))('$id: foot', ({ in: { file, x_m, y_m }, out }) => {
    const line = lineOf(`b-curves/${file}`);
    const found: Foot[] = [];
    expect(line.candidates(x_m, y_m, 10, found)).toBe(1);
    for (const got of [found[0]!, line.foot(x_m, y_m, out.s_m + 4, foot())]) {
      expect(apart(got.stationM, out.s_m, line.lengthM)).toBeLessThan(check.tolerance.s_m!);
      expect(Math.abs(got.offsetM - out.lateral_left_positive_m)).toBeLessThan(check.tolerance.lateral_m!);
      expect(angleApart(got.headingRad, out.heading_rad)).toBeLessThan(check.tolerance.heading_rad!);
      if (joins(file).some((s) => apart(s, out.s_m, line.lengthM) < 5)) continue;
      // 5 % of the largest curvature of the course; on straights, of which no share can be taken, as well.
      const sharpest = file.includes('oval') ? 1 / 60 : 1 / 45;
      expect(Math.abs(got.curvaturePerM - out.curvature_per_m)).toBeLessThan(0.05 * sharpest);
    }
  });
});

withReference('b-curves/figure-eight.json', () => {
  const check = readCheck<Record<string, number>>('b-curves/figure-eight.json');
  test.each(check.cases.filter((one) => one.kind === 'length'))('$id: length', ({ in: { half_width_m }, out }) => {
    const { length_m, s_first_crossing_m, s_second_crossing_m, max_curvature_per_m } = out;
    const line = sampled(4000, eight(half_width_m!));
    expect(Math.abs(line.lengthM - length_m!)).toBeLessThan(check.tolerance.length_m!);
    expect(at(line, 0).curvaturePerM / max_curvature_per_m!).toBeCloseTo(1, 4);
    const found: Foot[] = [];
    expect(line.candidates(0, 0, 1, found)).toBe(2);
    expect(Math.abs(found[0]!.stationM - s_first_crossing_m!)).toBeLessThan(check.tolerance.s_m!);
    expect(Math.abs(found[1]!.stationM - s_second_crossing_m!)).toBeLessThan(check.tolerance.s_m!);
  });
  const memory = check.cases.filter((one) => one.kind === 'foot point with memory');
  test.each(memory)('$id: foot with the previous distance', ({ in: { half_width_m, x_m, y_m, previous_s_m }, out }) => {
    const { s_m, lateral_left_positive_m, heading_rad, curvature_per_m } = out;
    // The sampled file reaches about 1e-3 m, as its note says.
    const lines = [
      [sampled(4000, eight(half_width_m!)), check.tolerance.s_m!],
      [lineOf('b-curves/figure-eight.csv'), 1e-3],
    ] as const;
    for (const [line, tolerance] of lines) {
      const got = line.foot(x_m!, y_m!, previous_s_m!, foot());
      expect(apart(got.stationM, s_m!, line.lengthM)).toBeLessThan(tolerance);
      expect(Math.abs(got.offsetM - lateral_left_positive_m!)).toBeLessThan(tolerance);
      expect(angleApart(got.headingRad, heading_rad!)).toBeLessThan(tolerance);
      expect(Math.abs(got.curvaturePerM - curvature_per_m!)).toBeLessThan(1e-4);
    }
  });
});

withReference('b-curves/offset-length.json', () => {
  const check = readCheck<
    { line: string; line_length_m: number; constant_offset_left_positive_m: number },
    { ridden_length_m: number }
  >('b-curves/offset-length.json');
  const lines: Record<string, () => ClosedLine> = {
    'circle R = 100': () => sampled(720, circle(100)),
    'figure eight a = 150': () => sampled(2000, eight(150)),
    'course-rounded': () => lineOf('b-curves/course-rounded.csv'),
    'course-oval': () => lineOf('b-curves/course-oval.csv'),
  };
  test.each(check.cases)('$id: $in.line at $in.constant_offset_left_positive_m m', ({ in: input, out }) => {
    const line = lines[input.line]!();
    const steps = 100_000;
    const place = point();
    let saved = 0;
    for (let i = 0; i < steps; i++) {
      saved += input.constant_offset_left_positive_m * line.at(((i + 0.5) / steps) * line.lengthM, place).curvaturePerM;
    }
    saved *= line.lengthM / steps;
    // What the offset saves is compared, so that the length of the sampled line itself (up to 1e-5 m off) stays out.
    expect(Math.abs(saved - (input.line_length_m - out.ridden_length_m))).toBeLessThan(
      check.tolerance.ridden_length_m!,
    );
  });
});

interface RealCircuit {
  points: number;
  periodic_spline_length_m: number;
  turning_number_left_positive: number;
  line_offset_min_m?: number;
  line_offset_max_m?: number;
  line_offset_rms_m?: number;
}

withReference('h-data/circuits.json', () => {
  const check = readCheck<{ file: string; line_file?: string }, RealCircuit>('h-data/circuits.json');
  test.each(check.cases)('$id: length, turns and the driving line', ({ in: { file, line_file }, out }) => {
    const line = lineOf(`h-data/${file}`);
    expect(line.points).toBe(out.points);
    // The file allows 0.1 m; both are the same spline, so far less is asked.
    expect(Math.abs(line.lengthM - out.periodic_spline_length_m)).toBeLessThan(1e-5);
    const place = point();
    let turned = 0;
    let before = line.at(0, place).headingRad;
    for (let s = 1; s <= line.lengthM + 1; s++) {
      const heading = line.at(Math.min(s, line.lengthM), place).headingRad;
      turned += Math.atan2(Math.sin(heading - before), Math.cos(heading - before));
      before = heading;
    }
    expect(turned / (2 * Math.PI)).toBeCloseTo(out.turning_number_left_positive, 6);
    if (line_file === undefined) return;
    const { x_m, y_m } = readColumns(`h-data/${line_file}`) as Record<'x_m' | 'y_m', Float64Array>;
    const got = foot();
    const offsets = Float64Array.from(x_m, (x, i) => line.foot(x, y_m[i]!, got.stationM, got).offsetM);
    const rms = Math.sqrt(offsets.reduce((sum, n) => sum + n * n, 0) / offsets.length);
    const tolerance = check.tolerance.offset_m!;
    expect(Math.abs(Math.min(...offsets) - out.line_offset_min_m!)).toBeLessThan(tolerance);
    expect(Math.abs(Math.max(...offsets) - out.line_offset_max_m!)).toBeLessThan(tolerance);
    expect(Math.abs(rms - out.line_offset_rms_m!)).toBeLessThan(tolerance);
  });
});

/** A closed curve that bends both ways, with its size; a wave of the radius is small enough to keep bends gentle. */
const wavy = fc
  .record({
    radius: fc.double({ min: 2, max: 4000, noNaN: true }),
    waves: fc.array(
      fc.tuple(fc.double({ min: -0.05, max: 0.05, noNaN: true }), fc.double({ min: 0, max: 6.3, noNaN: true })),
      { minLength: 1, maxLength: 3 },
    ),
    count: fc.integer({ min: 60, max: 400 }),
    clockwise: fc.boolean(),
  })
  .map(({ radius, waves, count, clockwise }) => {
    const x: number[] = [];
    const y: number[] = [];
    for (let i = 0; i < count; i++) {
      const t = ((clockwise ? -2 : 2) * Math.PI * i) / count;
      let r = radius;
      for (const [k, [size, phase]] of waves.entries()) r *= 1 + size * Math.cos((k + 2) * t + phase);
      x.push(r * Math.cos(t));
      y.push(r * Math.sin(t));
    }
    return { radius, x, y };
  });
const share = fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true });
const RUNS = { seed: 5, numRuns: 150 };

describe('a closed line', () => {
  test('a place moved along the normal has that station and offset', () => {
    fc.assert(
      fc.property(
        wavy,
        share,
        fc.double({ min: -0.2, max: 0.2, noNaN: true }),
        share,
        ({ radius, x, y }, along, beside, near) => {
          const line = closedLine(x, y);
          const s = along * line.lengthM;
          const n = beside * radius;
          const { eastM, northM, headingRad, curvaturePerM } = at(line, s);
          const east = eastM - n * Math.sin(headingRad);
          const north = northM + n * Math.cos(headingRad);
          const found: Foot[] = [];
          const count = line.candidates(east, north, Math.abs(n) * 1.01 + 0.01 * radius, found);
          const closest = found
            .slice(0, count)
            .find((one) => apart(one.stationM, s, line.lengthM) < 1e-9 * line.lengthM);
          for (const got of [line.foot(east, north, s + (near - 0.5) * 0.2 * radius, foot()), closest!]) {
            expect(apart(got.stationM, s, line.lengthM)).toBeLessThan(1e-9 * line.lengthM);
            expect(Math.abs(got.offsetM - n)).toBeLessThan(1e-12 * line.lengthM);
            expect(angleApart(got.headingRad, headingRad)).toBeLessThan(1e-8);
            expect(Math.abs(got.curvaturePerM - curvaturePerM) * radius).toBeLessThan(1e-6);
          }
        },
      ),
      RUNS,
    );
  });

  test('turned, mirrored and shifted points give the same line', () => {
    fc.assert(
      fc.property(wavy, share, share, ({ radius, x, y }, along, turn) => {
        const line = closedLine(x, y);
        const s = along * line.lengthM;
        const place = at(line, s);
        const [c, k] = [Math.cos(6 * turn), Math.sin(6 * turn)];
        const [dx, dy] = [30 * radius, -7 * radius];
        // Turned, mirrored over the new axis of y, shifted.
        const move = (px: number, py: number) => [-(c * px - k * py) + dx, k * px + c * py + dy] as const;
        const moved = closedLine(
          x.map((px, i) => move(px, y[i]!)[0]),
          x.map((px, i) => move(px, y[i]!)[1]),
        );
        expect(Math.abs(moved.lengthM - line.lengthM)).toBeLessThan(1e-10 * line.lengthM);
        const there = at(moved, s);
        const [east, north] = move(place.eastM, place.northM);
        expect(Math.hypot(there.eastM - east, there.northM - north)).toBeLessThan(1e-9 * line.lengthM);
        expect(angleApart(there.headingRad, Math.PI - (place.headingRad + 6 * turn))).toBeLessThan(1e-8);
        expect(Math.abs(there.curvaturePerM + place.curvaturePerM) * radius).toBeLessThan(1e-6);
      }),
      RUNS,
    );
  });

  test('every point of the input lies on the line, and its stretches add up to the length', () => {
    fc.assert(
      fc.property(wavy, ({ x, y }) => {
        const line = closedLine(x, y);
        const got = foot();
        let before = 0;
        for (let i = 0; i < x.length; i++) {
          line.foot(x[i]!, y[i]!, before, got);
          expect(Math.abs(got.offsetM)).toBeLessThan(1e-12 * line.lengthM);
          if (i > 0) expect(got.stationM).toBeGreaterThan(before);
          before = i === 0 ? 0 : got.stationM;
        }
        expect(before).toBeLessThan(line.lengthM);
      }),
      { ...RUNS, numRuns: 30 },
    );
  });

  test('a moved start shifts stations and changes nothing else', () => {
    fc.assert(
      fc.property(wavy, share, share, share, ({ radius, x, y }, first, second, along) => {
        const line = closedLine(x, y);
        const by = first * line.lengthM;
        const again = second * line.lengthM;
        const moved = startAt(startAt(line, by), again);
        expect(moved.lengthM).toBe(line.lengthM);
        const s = along * line.lengthM;
        const [here, there] = [at(line, s + by + again), at(moved, s)];
        expect(Math.hypot(here.eastM - there.eastM, here.northM - there.northM)).toBeLessThan(1e-11 * line.lengthM);
        const got = moved.foot(here.eastM * 1.01, here.northM * 1.01, s, foot());
        const plain = line.foot(here.eastM * 1.01, here.northM * 1.01, s + by + again, foot());
        expect(got.stationM).toBeGreaterThanOrEqual(0);
        expect(got.stationM).toBeLessThan(line.lengthM);
        expect(apart(got.stationM + by + again, plain.stationM, line.lengthM)).toBeLessThan(1e-10 * line.lengthM);
        expect(got.offsetM).toBeCloseTo(plain.offsetM, 9);
        const found: Foot[] = [];
        const count = moved.candidates(0, 0, 2 * radius, found);
        for (let i = 1; i < count; i++) expect(found[i]!.stationM).toBeGreaterThanOrEqual(found[i - 1]!.stationM);
      }),
      RUNS,
    );
  });

  test('any real station is taken around the line', () => {
    const line = sampled(80, ellipse(120, 40));
    const L = line.lengthM;
    for (const s of [0, 17.3, L / 2]) {
      for (const laps of [-3, -1, 1, 40]) {
        const [a, b] = [at(line, s), at(line, s + laps * L)];
        expect(Math.hypot(a.eastM - b.eastM, a.northM - b.northM)).toBeLessThan(1e-9);
      }
    }
    expect(at(line, -1e-300).eastM).toBeCloseTo(120, 9);
    expect(at(line, Number.NaN).eastM).toBeNaN();
  });

  test('heading west is pi, never minus pi', () => {
    const square = closedLine([0, 10, 10, 0], [0, 0, 10, 10]);
    for (let s = 0; s < square.lengthM; s += square.lengthM / 64) {
      const { headingRad } = at(square, s);
      expect(headingRad > -Math.PI && headingRad <= Math.PI).toBe(true);
    }
    const straightBack = sampled(400, circle(50));
    expect(at(straightBack, straightBack.lengthM / 4).headingRad).toBeCloseTo(Math.PI, 6);
  });
});

/** Two straights 8 m apart joined by half circles: a hairpin at either end. */
function hairpin(scale: number, spacing: number): ClosedLine {
  const x: number[] = [];
  const y: number[] = [];
  const put = (px: number, py: number): void => {
    x.push(px * scale);
    y.push(py * scale);
  };
  for (let s = 0; s < 300; s += spacing) put(s, 0);
  for (let a = 0; a < Math.PI; a += spacing / 4) put(300 + 4 * Math.sin(a), 4 - 4 * Math.cos(a));
  for (let s = 300; s > 0; s -= spacing) put(s, 8);
  for (let a = 0; a < Math.PI; a += spacing / 4) put(-4 * Math.sin(a), 4 + 4 * Math.cos(a));
  return closedLine(x, y);
}

describe('all feet near a place', () => {
  test.each([
    ['15 m', 15 / 625],
    ['600 m', 1],
    ['25 km', 40],
  ])('both limbs of a hairpin are found on a circuit of %s', (_, scale) => {
    for (const spacing of [0.1, 0.7, 2]) {
      const line = hairpin(scale, spacing);
      const found: Foot[] = [];
      expect(line.candidates(150 * scale, 3 * scale, 30 * scale, found)).toBe(2);
      expect(found[0]!.stationM / scale).toBeCloseTo(150, 1);
      expect(found[0]!.offsetM / scale).toBeCloseTo(3, 2);
      expect(found[1]!.offsetM / scale).toBeCloseTo(5, 2);
      expect(Math.abs(found[1]!.headingRad)).toBeCloseTo(Math.PI, 2);
      // The same place with less room sees one limb, and none.
      expect(line.candidates(150 * scale, 3 * scale, 4 * scale, found)).toBe(1);
      expect(line.candidates(150 * scale, 3 * scale, 2 * scale, found)).toBe(0);
    }
  });

  test('a foot stays on its limb, whichever is closer', () => {
    const line = hairpin(1, 1);
    expect(line.foot(150, 7, 140, foot()).offsetM).toBeCloseTo(7, 2);
    expect(line.foot(150, 7, line.lengthM - 160, foot()).offsetM).toBeCloseTo(1, 2);
  });

  test('they are the same that a search through every node finds', () => {
    const random = fc.tuple(
      wavy,
      fc.double({ min: -1.5, max: 1.5, noNaN: true }),
      fc.double({ min: -1.5, max: 1.5, noNaN: true }),
      fc.double({ min: 0.01, max: 3, noNaN: true }),
    );
    fc.assert(
      fc.property(random, ([{ radius, x, y }, px, py, reach]) => {
        const line = closedLine(x, y);
        const [east, north] = [px * radius, py * radius];
        const found: Foot[] = [];
        const count = line.candidates(east, north, reach * radius, found);
        // Brute force: dips of the distance on 3000 even stations.
        const n = 3000;
        const distance = Array.from({ length: n }, (_, i) => {
          const place = at(line, (i / n) * line.lengthM);
          return Math.hypot(place.eastM - east, place.northM - north);
        });
        const dips: number[] = [];
        for (let i = 0; i < n; i++) {
          const [before, here, after] = [distance[(i + n - 1) % n]!, distance[i]!, distance[(i + 1) % n]!];
          if (here < before && here <= after && here < reach * radius) dips.push((i / n) * line.lengthM);
        }
        // A dip too shallow to be more than a flat spot is not asked for; one at the very edge may go either way.
        for (const s of dips) {
          const one = found
            .slice(0, count)
            .some((got) => apart(got.stationM, s, line.lengthM) < (2 / n) * line.lengthM);
          const i = Math.round((s / line.lengthM) * n);
          const [p, q] = [distance[(i + n - 40) % n]!, distance[(i + 40) % n]!];
          const deep = Math.min(p, q) - distance[i]! > 1e-4 * radius;
          if (deep && distance[i]! < 0.999 * reach * radius) expect(one).toBe(true);
        }
        expect(count).toBeLessThanOrEqual(dips.length + 1);
        for (const got of found.slice(0, count)) expect(Math.abs(got.offsetM)).toBeLessThanOrEqual(reach * radius);
      }),
      { seed: 8, numRuns: 60 },
    );
  });

  test('they are the same after a walk as for somebody who asks for the first time', () => {
    fc.assert(
      fc.property(
        wavy,
        fc.array(fc.double({ min: -0.1, max: 0.1, noNaN: true }), { minLength: 4, maxLength: 30 }),
        (curve, steps) => {
          const { radius, x, y } = curve;
          const walked = closedLine(x, y);
          const [here, there]: [Foot[], Foot[]] = [[], []];
          let [east, north] = [radius, 0];
          for (const [i, step] of steps.entries()) {
            if (i % 2 === 0) east += step * radius;
            else north += step * radius;
            // The radius changes on the way, too.
            const reach = (i % 5 === 4 ? 0.6 : 0.2) * radius;
            const count = walked.candidates(east, north, reach, here);
            expect(closedLine(x, y).candidates(east, north, reach, there)).toBe(count);
            expect(here.slice(0, count)).toEqual(there.slice(0, count));
          }
        },
      ),
      { seed: 9, numRuns: 30 },
    );
  });

  test('objects are used again and missing places have no feet', () => {
    const line = hairpin(1, 1);
    const found: Foot[] = [];
    line.candidates(150, 4, 30, found);
    const objects = new Set(found);
    line.candidates(100, 4, 30, found);
    expect(found.every((one) => objects.has(one))).toBe(true);
    expect(line.candidates(Number.NaN, 0, 30, found)).toBe(0);
    expect(line.candidates(1e6, 0, 30, found)).toBe(0);
    expect(line.foot(Number.NaN, 0, 0, foot()).stationM).toBeNaN();
  });

  test('seen from the middle of a circle any station will do, and one is given', () => {
    const got = sampled(100, circle(10)).foot(0, 0, 12, foot());
    expect(got.offsetM).toBeCloseTo(10, 3);
  });
});

describe('points of a line', () => {
  const [x, y] = [
    [0, 10, 10, 0],
    [0, 0, 10, 10],
  ];
  test('a closing point and repeated points are dropped', () => {
    const plain = closedLine(x!, y!);
    const repeated = closedLine([0, 0, 10, 10, 10, 0, 0, 0], [0, 0, 0, 10, 10, 10, 0, 0]);
    expect(repeated.points).toBe(4);
    expect(repeated.lengthM).toBe(plain.lengthM);
  });

  test('too few points are refused with their count', () => {
    expect(() => closedLine([0, 1, 1, 0], [0, 0, 0, 0])).toThrow(/2 distinct points among 4; a closed line needs 4/);
    expect(() => closedLine([], [])).toThrow(RangeError);
    expect(() => closedLine([0, 1, Number.NaN, 0], [0, 0, 1, 1])).toThrow(/not a number/);
  });

  test('very uneven spacing still gives a line through every point', () => {
    const uneven = closedLine([0, 100, 100.001, 100.002, 130, 60, 0], [0, 0, 0.0005, 0.0015, 60, 90, 40]);
    expect(Math.abs(uneven.foot(100.001, 0.0005, 100, foot()).offsetM)).toBeLessThan(1e-9);
  });
});
