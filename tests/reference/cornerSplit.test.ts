import { expect, test } from 'vitest';
import { timeAt } from '../../src/align/alignLap.ts';
import type { Cell } from '../../src/gap/cells.ts';
import { ledgerOf } from '../../src/gap/ledger.ts';
import { readCheck, readColumns, withReference } from './folder.ts';
import { SmallCampaign } from './smallCampaign.ts';

// Source: reference check d-lap/corner-gap-split (v² = v0² + 2as in closed form; DERIVED). For logs sampled at 50 Hz the
// check expects 1 ms. The speed profiles are ridden along the oval of b-curves, whose bends play no part in them.

interface Rider {
  V: number;
  vm: number;
  b: number;
  a: number;
  s_in: number;
  A: number;
  s_end: number;
  early?: number;
  hold?: number;
  b_start?: number;
}
interface Split {
  reference_time_s: number;
  rider_time_s: number;
  gap_s: number;
  gap_by_phase_s: Record<string, number>;
}

/** Speed by distance as pieces of constant acceleration: run-up, braking, minimum speed, drive, and on at the speed reached. */
function pieces({ V, vm, b, a, s_in, A, s_end, early = 0, hold = 0, b_start }: Rider) {
  const reached = s_in - early;
  const onset = b_start ?? reached - (V * V - vm * vm) / (2 * b);
  const throttle = s_in + A + hold;
  const out: { from: number; v: number; a: number }[] = [
    { from: Number.NEGATIVE_INFINITY, v: V, a: 0 },
    { from: onset, v: V, a: -(V * V - vm * vm) / (2 * (reached - onset)) },
    { from: reached, v: vm, a: 0 },
    { from: throttle, v: vm, a },
  ];
  const top = throttle + (V * V - vm * vm) / (2 * a);
  if (top < s_end) out.push({ from: top, v: V, a: 0 });
  const last = out.at(-1)!;
  out.push({ from: s_end, v: Math.sqrt(last.v ** 2 + 2 * last.a * (s_end - last.from)), a: 0 });
  return out;
}

/** Log of one lap and a little more at 50 Hz, exact to rounding. */
function ride(rider: Rider, at: (s: number) => [number, number], lengthM: number): string {
  const list = pieces(rider);
  const lines = ['time [s],east [m],north [m],speed [m/s]'];
  let piece = 0;
  let [s0, v0, t0] = [-150, list[0]!.v, 0];
  for (let i = 0; ; i++) {
    const t = i * 0.02;
    // Into the piece that this time lies in.
    for (;;) {
      const next = list[piece + 1];
      if (!next) break;
      const { a } = list[piece]!;
      const left = next.from - s0;
      const arrive = Math.abs(a) < 1e-12 ? left / v0 : (Math.sqrt(v0 * v0 + 2 * a * left) - v0) / a;
      if (t0 + arrive > t) break;
      [t0, s0, v0] = [t0 + arrive, next.from, next.v];
      piece++;
    }
    const { a } = list[piece]!;
    const s = s0 + v0 * (t - t0) + 0.5 * a * (t - t0) ** 2;
    if (s > lengthM + 100) return `${lines.join('\n')}\n`;
    const [x, y] = at(s);
    lines.push(`${t.toFixed(3)},${x.toFixed(7)},${y.toFixed(7)},${(v0 + a * (t - t0)).toFixed(7)}`);
  }
}

/** An oval of two straights of 400 m and two half circles of 60 m, as b-curves/course-oval, by distance. */
function oval(s: number): [number, number] {
  const arc = Math.PI * 60;
  const length = 2 * (400 + arc);
  const d = ((s % length) + length) % length;
  if (d < 400) return [d, 0];
  if (d < 400 + arc) return [400 + 60 * Math.sin((d - 400) / 60), 60 - 60 * Math.cos((d - 400) / 60)];
  if (d < 800 + arc) return [400 - (d - 400 - arc), 120];
  const angle = (d - 800 - arc) / 60;
  return [-60 * Math.sin(angle), 60 + 60 * Math.cos(angle)];
}

withReference('one corner ridden by two riders', () => {
  const check = readCheck<{ reference: Rider; rider: Rider; phase_limits_m: number[] }, Split>(
    'd-lap/corner-gap-split.json',
  );
  const { x_m, y_m } = readColumns('b-curves/course-oval.csv');

  test.each(check.cases)('$id ($what): gap and its phases within 1 ms', async ({ in: given, out }) => {
    const keys = 'stage: simulation\naxes: level';
    const lengthM = 2 * (400 + Math.PI * 60);
    const small = new SmallCampaign({ name: 'oval', plane: null, line: [x_m!, y_m!], gateStationM: 0 }, [
      { id: '2026-01-01-a', keys, logs: { 'run.csv': ride(given.reference, oval, lengthM) } },
      { id: '2026-01-02-b', keys, logs: { 'run.csv': ride(given.rider, oval, lengthM) } },
    ]);
    const [[reference], [robot]] = [await small.laid('2026-01-01-a'), await small.laid('2026-01-02-b')];
    const lap = (laid: typeof reference) => laid!.laps.find(({ lap: l }) => l.fromGate)!.aligned!;
    const end = given.reference.s_end;
    expect(Math.abs(timeAt(lap(reference), end) - out.reference_time_s)).toBeLessThan(0.001);
    expect(Math.abs(timeAt(lap(robot), end) - out.rider_time_s)).toBeLessThan(0.001);
    const names = [
      ['straight', 'drive', 'approach'],
      ['braking', 'braking', 'braking'],
      ['apex', 'apex', 'apex'],
      ['exit', 'drive', 'drive'],
    ] as const;
    const cells = names.map(
      ([cell, phase], i): Cell => ({
        corner: '1',
        cell,
        phase,
        fromM: given.phase_limits_m[i]!,
        toM: given.phase_limits_m[i + 1]!,
      }),
    );
    const { entries } = ledgerOf(lap(robot), lap(reference), cells);
    entries.forEach(({ gapS }, i) => {
      expect(Math.abs(gapS - out.gap_by_phase_s[names[i]![2]]!), names[i]![2]).toBeLessThan(0.001);
    });
    expect(entries).toHaveLength(4);
  });
});
