import { expect, test } from 'vitest';
import { withGate } from '../../src/campaign/lineOfRun.ts';
import { fitEnvelope } from '../../src/causes/fitEnvelope.ts';
import type { LapCauses } from '../../src/causes/schema.ts';
import { finding } from '../../src/report/causes/finding.ts';
import { toldOf } from '../../src/report/causes/told.ts';
import { mapOf } from '../gap/pair.ts';
import { readReference, withReference } from '../reference/folder.ts';
import { CAR, plain } from '../reference/realCar.ts';
import { SmallCampaign } from '../reference/smallCampaign.ts';
import { causesOf } from './causesOf.ts';

// Logs that nobody made for this: a real car and four simulated controllers (reference folder, h-data; their own scatter,
// stale positions and lines that are cut inside of their centre of curvature). No cause is known of them, so what is
// asked is that nothing nonsensical is said.

/** Groups of a corner, as far as they cancel each other, stay below this share of its time, or this many times its gap. */
const TIME_SHARE = 0.2;
const GAP_TIMES = 5;

/** What sensible means, whatever was ridden. */
function expectSensible(causes: LapCauses, timesS: readonly number[]): void {
  const sum = (list: readonly { gapS: number }[]): number => list.reduce((all, { gapS }) => all + gapS, 0);
  for (const list of [causes.groups, causes.causes, causes.windows])
    expect(Math.abs(sum(list) - causes.gapS)).toBeLessThan(0.001);
  causes.windows.forEach((w, k) => {
    const name = `corner ${w.corner} ${w.part ?? ''}`;
    // Sums are exact to the rounding of what is kept, and everything is a number.
    expect(Math.abs(sum(w.causes) - w.gapS), name).toBeLessThan(0.0005);
    expect(Math.abs(sum(w.groups) - w.gapS), name).toBeLessThan(0.0005);
    expect(Math.abs(w.lengthS + w.speedS - w.gapS), name).toBeLessThan(0.0005);
    const most = Math.max(TIME_SHARE * timesS[k]!, GAP_TIMES * Math.abs(w.gapS)) + 0.001;
    expect(
      w.groups.reduce((all, { gapS }) => all + Math.abs(gapS), 0),
      name,
    ).toBeLessThan(most);
    for (const { gapS, madeS } of w.causes) {
      expect(Number.isFinite(gapS) && Number.isFinite(madeS), name).toBe(true);
      if (w.illConditioned) continue;
      // Where the members are told apart none is more than the gap and all that cancels in it.
      expect(Math.abs(gapS), name).toBeLessThan(((GAP_TIMES + 1) / 2) * Math.abs(w.gapS) + 0.001);
    }
    if (w.flags.includes('not described')) for (const { fact } of w.causes) expect(fact ?? null, name).toBeNull();
  });
}

/** Sentences need their channel: no gear change without gears, no pick-up apart from drive without a throttle. */
function expectOnlyWhatIsLogged(causes: LapCauses, logged: { throttle: boolean; gear: boolean }): void {
  const lines = causes.windows.flatMap((w) => toldOf(w).map((line) => ({ ...line, mode: w.mode })));
  if (!logged.gear) expect(lines.filter(({ key, gapS }) => key === 'shifts' && gapS !== 0)).toEqual([]);
  if (!logged.throttle) expect(lines.filter(({ key, mode }) => key === 'pickUp' && mode !== 'driven')).toEqual([]);
  for (const line of lines) expect(finding(line) ?? '').not.toMatch(/NaN|Infinity|undefined|null/);
  expect(causes.untold.some((why) => why.startsWith('no gear'))).toBe(!logged.gear);
  expect(causes.untold.some((why) => why.startsWith('no throttle'))).toBe(!logged.throttle);
}

/** Time of the lap itself over each window, s: of its mixture that takes nothing of the reference. */
const timesOf = ({ windows }: LapCauses): number[] => windows.map(({ mixtureS }) => mixtureS[0]!);

withReference('a real log of a full-size car', () => {
  test('its slower lap is split without a nonsensical claim', async () => {
    const edges = {
      left: plain('h-data/real-road-course-edge-inner.csv'),
      right: plain('h-data/real-road-course-edge-outer.csv'),
    };
    const points = withGate({ name: 'road', plane: null, edges }, { eastM: 178.439, northM: 326.514 });
    const logs = { 'run.csv': readReference('h-data/real-road-course-run.csv') };
    const { sessions } = await new SmallCampaign(points, [{ id: '2026-01-01-a', keys: CAR, logs }]).analysed(true);
    const split = sessions[0]!.runs[0]!.laps.filter(({ causes, gapS }) => causes && gapS !== null);
    expect(split).toHaveLength(1);
    const { causes, gapS } = split[0]!;
    expect(gapS).toBeGreaterThan(20);
    expectSensible(causes!, timesOf(causes!));
    expectOnlyWhatIsLogged(causes!, { throttle: true, gear: false });
  });
});

withReference('simulated controllers on a course of 18 m', () => {
  const centre = plain('h-data/sim-course-a-centre.csv');
  const keys = `stage: simulation
axes: level
columns:
  time: { from: t_s, unit: s }
  east: { from: x_m, unit: m }
  north: { from: y_m, unit: m }
  heading: { from: heading_rad, unit: rad, fromEast: true }
  speed: { from: vx_mps, unit: m/s }`;
  const points = withGate(
    { name: 'small', plane: null, line: centre },
    { eastM: centre[0][8]!, northM: centre[1][8]! },
  );
  const files = [1, 2, 3, 4].map((k) => `sim-course-a-controller-${k}.csv`);
  const small = new SmallCampaign(
    points,
    files.map((file, i) => ({
      id: `2026-01-0${i + 1}-a`,
      keys,
      logs: { 'run.csv': readReference(`h-data/${file}`) },
    })),
  );

  test('every whole lap is split against the first controller’s without a nonsensical claim', async () => {
    const laps = [];
    for (const i of files.keys()) {
      const [laid] = await small.laid(`2026-01-0${i + 1}-a`);
      laps.push(...laid!.laps.flatMap(({ aligned }) => (aligned?.timeS != null ? [aligned] : [])));
    }
    const [reference, ...others] = laps;
    expect(others.length).toBeGreaterThanOrEqual(4);
    const map = mapOf(reference!);
    for (const lap of others) {
      const causes = causesOf(lap, reference!, map, { fitted: fitEnvelope([reference!, lap])!, draws: 3 });
      expect(Math.abs(causes.gapS - (lap.timeS! - reference!.timeS!))).toBeLessThan(1e-6);
      expectSensible(causes, timesOf(causes));
      expectOnlyWhatIsLogged(causes, { throttle: false, gear: false });
    }
  });
});
