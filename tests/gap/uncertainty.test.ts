import { expect, test } from 'vitest';
import type { AlignedLap } from '../../src/align/alignLap.ts';
import { sigmaBetween } from '../../src/gap/uncertainty.ts';
import { readCheck, withReference } from '../reference/folder.ts';

/** A lap of 1000 m with a time curve of straight pieces: speed by station, and how good its positions are. */
function lapAt(
  speeds: readonly [toM: number, mps: number][],
  sigmaM: number,
  shiftSigmaM: number,
  file: string,
): AlignedLap {
  const nodeM = [0];
  const nodeS = [0];
  const slopes: number[] = [];
  // Pieces short enough that the rate at a station is that of its own piece.
  let at = 0;
  for (const [toM, mps] of speeds)
    for (; at < toM; at += 1) {
      nodeM.push(at + 1);
      nodeS.push(nodeS.at(-1)! + 1 / mps);
      slopes.push(1 / mps);
    }
  slopes.push(slopes.at(-1)!);
  return {
    nodeM: Float64Array.from(nodeM),
    nodeS: Float64Array.from(nodeS),
    nodeSlope: Float64Array.from(slopes),
    coveredM: at,
    startS: 0,
    lap: { number: 1 },
    run: { trace: { quality: { sigmaM, shiftSigmaM }, recording: { sha256: file } } },
  } as unknown as AlignedLap;
}

interface In {
  sigma_s_m: number;
  speed: number;
  speed_unit: string;
}
interface Out {
  sigma_t_s: number;
  sigma_lap_time_s: number;
  sigma_gap_of_two_laps_s: number;
}

withReference('from position to time', () => {
  // Source: reference check d-lap/position-to-time-uncertainty (JCGM 100:2008, 5.1.2): a gate sigma / v, a lap root 2 of
  // it, the gap of two laps twice.
  const check = readCheck<In, Out>('d-lap/position-to-time-uncertainty.json');
  test.each(check.cases)('$id', ({ in: given, out }) => {
    const mps = given.speed_unit === 'km/h' ? given.speed / 3.6 : given.speed;
    const one = lapAt([[1000, mps]], given.sigma_s_m, 0, 'one');
    const other = lapAt([[1000, mps]], given.sigma_s_m, 0, 'other');
    const exact = lapAt([[1000, mps]], 0, 0, 'exact');
    // Speeds are read off a time curve: a few parts in 1e9 of rounding.
    const close = (value: number, wanted: number) => expect(Math.abs(value / wanted - 1)).toBeLessThan(1e-9);
    close(sigmaBetween(one, other, 0, 1000), out.sigma_gap_of_two_laps_s);
    close(sigmaBetween(one, exact, 0, 1000), out.sigma_lap_time_s);
    close(sigmaBetween(one, exact, 0, 1000) / Math.SQRT2, out.sigma_t_s);
  });
});

test('a reference point a metre off along the machine costs about 37 ms into a hairpin, nothing over the lap', () => {
  // Method, section 0. From 200 km/h to 18 m/s: 1/18 - 3.6/200 = 37.6 ms a metre.
  const speeds: [number, number][] = [
    [400, 200 / 3.6],
    [600, 18],
    [1000, 200 / 3.6],
  ];
  const one = lapAt(speeds, 0, 1, 'one');
  const exact = lapAt(speeds, 0, 0, 'exact');
  expect(sigmaBetween(one, exact, 300, 500)).toBeCloseTo(1 / 18 - 3.6 / 200, 9);
  expect(sigmaBetween(one, exact, 300, 500)).toBeGreaterThan(0.036);
  expect(sigmaBetween(one, exact, 300, 500)).toBeLessThan(0.038);
  expect(sigmaBetween(one, exact, 0, 1000)).toBeLessThan(1e-12);
});

test('laps of one run share the displacement; a lap against itself has no doubt', () => {
  const speeds: [number, number][] = [
    [500, 50],
    [1000, 20],
  ];
  const one = lapAt(speeds, 0, 1, 'same');
  const two = { ...lapAt(speeds, 0, 1, 'same'), lap: { number: 2 } } as unknown as AlignedLap;
  expect(sigmaBetween(one, two, 200, 800)).toBeLessThan(1e-12);
  expect(sigmaBetween(one, lapAt(speeds, 0, 1, 'other'), 200, 800)).toBeCloseTo(Math.SQRT2 * (1 / 20 - 1 / 50), 9);
  expect(sigmaBetween(one, one, 200, 800)).toBe(0);
});
