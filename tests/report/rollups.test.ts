import { describe, expect, test } from 'vitest';
import { rollups } from '../../src/report/tables/rollups.ts';
import { siteFiles } from '../../src/report/tables/siteFiles.ts';
import { even, type Made, made } from './made.ts';

// Expected values: sums, means and deviations written out below in plain loops over the results, or by hand.

/** Losses that differ by cell, lap and session, some of them gains. */
const uneven = (base: number, lap: number): number[] =>
  Array.from({ length: 16 }, (_, i) => base * (((i * 7) % 5) - 1) + lap * 0.01 * ((i % 3) - 1));

const CAMPAIGN: Made = {
  sessions: [
    { name: 'a', date: '2026-02-01', laps: [0, 1, 2].map((l) => ({ gaps: uneven(0.1, l) })) },
    { name: 'a|b', date: '2026-02-02', stage: 'simulation', laps: [{ gaps: uneven(0.05, 1) }] },
    {
      name: 'a-b',
      date: '2026-02-03',
      controller: '1.0',
      laps: [{ gaps: uneven(0.07, 1) }, { gaps: uneven(0.06, 2) }, { gaps: even(9), invalid: 'left the course' }],
    },
    { name: 'b', date: '2026-02-04', controller: '2.0', laps: [{ gaps: uneven(0.02, 1) }, { gaps: uneven(0.03, 2) }] },
  ],
  // Names that run into each other where keys are joined with a hyphen or an underscore.
  corners: ['1', '1-2', '2', 'b_1'],
};
const results = made(CAMPAIGN);
const rolled = rollups(results);
const counted = results.sessions
  .filter((s) => s.rider.kind === 'robot')
  .flatMap((s) => results.laps(s).filter((l) => l.lap.counted));

function plain(values: readonly number[]) {
  let sum = 0;
  for (const v of values) sum += v;
  const mean = sum / values.length;
  let squares = 0;
  for (const v of values) squares += (v - mean) ** 2;
  return {
    laps: values.length,
    mean,
    deviation: values.length > 1 ? Math.sqrt(squares / (values.length - 1)) : null,
    least: Math.min(...values),
    greatest: Math.max(...values),
  };
}

function same(
  found: (typeof rolled.sessions)[number] | (typeof rolled.corners)[number],
  values: readonly number[],
): void {
  const want = plain(values);
  expect(found.laps).toBe(want.laps);
  expect(found.meanS).toBeCloseTo(want.mean, 9);
  expect(found.leastS).toBeCloseTo(want.least, 9);
  expect(found.greatestS).toBeCloseTo(want.greatest, 9);
  if (want.deviation === null) expect(found.deviationS).toBeNull();
  else expect(found.deviationS).toBeCloseTo(want.deviation, 9);
}

describe('roll-ups of a campaign', () => {
  test('hold every session, corner and phase once', () => {
    expect(rolled.phases).toHaveLength(4 * 4 * 3);
    expect(new Set(rolled.phases.map((r) => JSON.stringify([r.session, r.corner, r.phase]))).size).toBe(48);
    expect(rolled.corners).toHaveLength(4 * 4);
    expect(rolled.sessions.map((r) => r.session)).toEqual(['a', 'a|b', 'a-b', 'b']);
  });

  test('are the plain statistics of the laps, corner by corner and phase by phase', () => {
    for (const found of rolled.phases)
      same(
        found,
        counted
          .filter((l) => l.session.session === found.session)
          .map((l) =>
            l.lap.ledger
              .filter((c) => c.corner === found.corner && c.phase === found.phase)
              .reduce((sum, c) => sum + c.gapS, 0),
          ),
      );
  });

  test('of a corner, a session and a configuration are those of its laps', () => {
    for (const found of rolled.corners)
      same(
        found,
        counted
          .filter((l) => l.session.session === found.session)
          .map((l) => l.lap.ledger.filter((c) => c.corner === found.corner).reduce((sum, c) => sum + c.gapS, 0)),
      );
    for (const found of rolled.sessions)
      same(
        found,
        counted.filter((l) => l.session.session === found.session).map((l) => l.lap.gapS!),
      );
    for (const found of rolled.configurations)
      same(
        { session: '', ...found.total },
        counted
          .filter((l) => l.session.stage === found.stage && l.session.controller === found.controller)
          .map((l) => l.lap.gapS!),
      );
  });

  test('put what was ridden with one configuration at one stage together, and nothing else', () => {
    // By hand: sessions `a` and `a-b` are track, controller 1.0; `a|b` is a simulation; `b` is controller 2.0.
    expect(rolled.configurations.map((c) => [c.stage, c.controller, c.sessions, c.total.laps])).toEqual([
      ['track', '1.0', ['a', 'a-b'], 5],
      ['simulation', '1.0', ['a|b'], 1],
      ['track', '2.0', ['b'], 2],
    ]);
  });

  test('add up: phases to corners, corners to the lap', () => {
    for (const session of rolled.sessions) {
      const corners = rolled.corners.filter((r) => r.session === session.session);
      expect(corners.reduce((sum, r) => sum + r.meanS, 0)).toBeCloseTo(session.meanS, 9);
      for (const corner of corners)
        expect(
          rolled.phases
            .filter((r) => r.session === session.session && r.corner === corner.corner)
            .reduce((sum, r) => sum + r.meanS, 0),
        ).toBeCloseTo(corner.meanS, 9);
    }
  });

  test('of nothing are empty', () => {
    expect(rollups(made({ sessions: [] }))).toEqual({ phases: [], corners: [], sessions: [], configurations: [] });
  });
});

test('the matrix in the files of the site adds up to the mean gap of each session', () => {
  const files = new Map(siteFiles(results));
  const [head, ...rows] = files
    .get('tables/index/matrix-ring.csv')!
    .trimEnd()
    .split('\n')
    .map((line) => line.split(','));
  expect(rows).toHaveLength(4);
  const first = head!.indexOf('corner 1 [s]');
  for (const row of rows) {
    const numbers = row.slice(first).map(Number);
    const last = numbers.pop()!;
    // Files have microseconds.
    expect(numbers.reduce((a, b) => a + b, 0)).toBeCloseTo(last, 5);
  }
});
