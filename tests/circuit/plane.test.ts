import { describe, expect, test } from 'vitest';
import { localPlane } from '../../src/circuit/plane.ts';
import { readCheck, readColumns, withReference } from '../reference/folder.ts';

interface Place {
  lat: number;
  lon: number;
  h_m: number;
}

/** Difference of two longitudes, degrees, taken the short way. */
const turnDeg = (a: number, b: number): number => Math.abs(((((a - b + 180) % 360) + 360) % 360) - 180);

withReference('east, north, up: a-geodesy/enu.json', () => {
  const check = readCheck<{ origin: Place; point: Place }, { e_m: number; n_m: number; u_m: number }>(
    'a-geodesy/enu.json',
  );
  test.each(check.cases)('$id $place: there and back', ({ in: { origin, point }, out, tol_m }) => {
    const plane = localPlane(origin.lat, origin.lon, origin.h_m);
    const tolerance = (tol_m as number | undefined) ?? check.tolerance.enu_m!;
    const got = plane.toPlane(point.lat, point.lon, point.h_m);
    expect(Math.abs(got.eastM - out.e_m)).toBeLessThan(tolerance);
    expect(Math.abs(got.northM - out.n_m)).toBeLessThan(tolerance);
    expect(Math.abs(got.upM - out.u_m)).toBeLessThan(tolerance);
    const back = plane.geodetic(got.eastM, got.northM, got.upM);
    expect(Math.abs(back.latDeg - point.lat)).toBeLessThan(check.tolerance.latlon_deg!);
    // Within metres of a pole a degree of longitude shrinks to micrometres; there the tolerance is one of place.
    const shrink = Math.max(Math.cos((point.lat * Math.PI) / 180), 1e-6);
    expect(turnDeg(back.lonDeg, point.lon) * shrink).toBeLessThan(check.tolerance.latlon_deg!);
    expect(Math.abs(back.heightM - point.h_m)).toBeLessThan(check.tolerance.h_m!);
  });
});

withReference('metres per degree: a-geodesy/radii.json', () => {
  const check = readCheck('a-geodesy/radii.json');
  /** Central difference with two steps of Richardson's extrapolation. */
  const derivative = (f: (deg: number) => number): number => {
    const plain = (h: number): number => (f(h) - f(-h)) / (2 * h);
    const [a, b, c] = [plain(0.4), plain(0.2), plain(0.1)] as const;
    const [d, e] = [(4 * b - a) / 3, (4 * c - b) / 3];
    return (16 * e - d) / 15;
  };
  test.each(check.cases)('$id: at latitude $in.lat', ({ in: { lat }, out }) => {
    const { m_per_deg_lat, m_per_deg_lon, meridian_radius_m } = out;
    const plane = localPlane(lat!, 17);
    const perDegLat = derivative((deg) => plane.toPlane(lat! + deg, 17).northM);
    const perDegLon = derivative((deg) => plane.toPlane(lat!, 17 + deg).eastM);
    expect(Math.abs(perDegLat - m_per_deg_lat!)).toBeLessThan(check.tolerance.m!);
    expect(Math.abs(perDegLon - m_per_deg_lon!)).toBeLessThan(check.tolerance.m!);
    expect(Math.abs(perDegLat * (180 / Math.PI) - meridian_radius_m!)).toBeLessThan(check.tolerance.m!);
  });
});

// The long lines and the classic line do not apply: a plane is not meant for them.
withReference('distance in the plane: a-geodesy/geodesic-inverse-short.json', () => {
  const check = readCheck('a-geodesy/geodesic-inverse-short.json');
  test.each(check.cases)('$id $place: within the chord-arc bound d³/(24R²) + 1e-6 m', ({ in: ends, out }) => {
    const { lat1, lon1, lat2, lon2 } = ends as Record<'lat1' | 'lon1' | 'lat2' | 'lon2', number>;
    const start = localPlane(lat1, lon1);
    const half = start.toPlane(lat2, lon2);
    const middle = start.latLon(half.eastM / 2, half.northM / 2);
    const { eastM, northM } = localPlane(middle.latDeg, middle.lonDeg).eastNorth(
      Float64Array.of(lat1, lat2),
      Float64Array.of(lon1, lon2),
    );
    const distance = Math.hypot(eastM[1]! - eastM[0]!, northM[1]! - northM[0]!);
    const { s12_m } = out;
    const geodesic = s12_m!;
    expect(Math.abs(distance - geodesic)).toBeLessThan(geodesic ** 3 / (24 * 6335439 ** 2) + 1e-6);
  });
});

withReference('circuits in degrees: h-data/latlon-circuits.json', () => {
  const check = readCheck<{ file: string }, { geodesic_polygon_length_m: number; points: number }>(
    'h-data/latlon-circuits.json',
  );
  test.each(check.cases)('$id: the polygon is as long in the plane as on the ellipsoid', ({ in: { file }, out }) => {
    const { lat, lon } = readColumns(`h-data/${file}`) as { lat: Float64Array; lon: Float64Array };
    expect(lat.length).toBe(out.points);
    const mid = (values: Float64Array): number => (Math.min(...values) + Math.max(...values)) / 2;
    const { eastM, northM } = localPlane(mid(lat), mid(lon)).eastNorth(lat, lon);
    let length = 0;
    for (let i = 0; i < lat.length; i++) {
      const j = (i + 1) % lat.length;
      length += Math.hypot(eastM[j]! - eastM[i]!, northM[j]! - northM[i]!);
    }
    // local_plane_m of the file.
    expect(Math.abs(length - out.geodesic_polygon_length_m)).toBeLessThan(0.05);
  });
});

describe('local plane', () => {
  test('many places and one place agree, and a missing one stays missing', () => {
    const plane = localPlane(47, 8, 400);
    const { eastM, northM } = plane.eastNorth(Float64Array.of(47.01, Number.NaN), Float64Array.of(8.02, 8));
    const one = plane.toPlane(47.01, 8.02);
    expect([eastM[0], northM[0]]).toEqual([one.eastM, one.northM]);
    expect([eastM[1], northM[1]]).toEqual([Number.NaN, Number.NaN]);
  });

  test.each([
    [0, 0, 0],
    [-89.9995, -120, 2800],
    [51.5, 179.9999, 10],
    [-33, 18, -20],
  ])('a point of the plane at (%f, %f) comes back to a tenth of a micrometre', (lat, lon, height) => {
    const plane = localPlane(lat, lon, height);
    for (const [east, north] of [
      [0, 0],
      [1234.5, -987.6],
      [-9000, 12000],
    ] as const) {
      const place = plane.latLon(east, north);
      const back = plane.toPlane(place.latDeg, place.lonDeg);
      expect(Math.abs(back.eastM - east)).toBeLessThan(1e-7);
      expect(Math.abs(back.northM - north)).toBeLessThan(1e-7);
    }
  });
});
