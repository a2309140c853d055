import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { planeToEarth } from './planeToEarth.ts';

const FILE = new URL('../../../shared/reference/a-geodesy/enu.json', import.meta.url);
const present = existsSync(FILE);

interface Case {
  readonly id: string;
  readonly in: { readonly origin: Point; readonly point: Point };
  readonly out: { readonly e_m: number; readonly n_m: number };
  readonly tol_m?: number;
}
interface Point {
  readonly lat: number;
  readonly lon: number;
  readonly h_m: number;
}

// tolerances of the file, as lengths: 2e-6 m for what is computed, the printed digits for the published example
describe.skipIf(!present)('a-geodesy/enu.json, the other way round', () => {
  const cases: Case[] = present ? JSON.parse(readFileSync(FILE, 'utf8')).cases : [];
  test.each(cases)('$id', (c) => {
    const { origin, point } = c.in;
    const at = { latDeg: origin.lat, lonDeg: origin.lon, altM: origin.h_m };
    const place = planeToEarth(at, c.out.e_m, c.out.n_m, point.h_m);
    const tolerance = c.tol_m ?? 4e-6;
    const metres = (Math.PI / 180) * 6378137;
    expect(Math.abs(place.latDeg - point.lat) * metres).toBeLessThan(tolerance);
    expect(Math.abs(place.lonDeg - point.lon) * metres * Math.cos((point.lat * Math.PI) / 180)).toBeLessThan(tolerance);
  });
});
