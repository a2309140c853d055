import { describe, expect, test } from 'vitest';
import type { AlignedLap } from '../../src/align/alignLap.ts';
import { type CornerTechnique, commonRules, rulesOf, techniqueOf, type Zone } from '../../src/technique/technique.ts';
import { circuitOf, rounded } from '../align/courses.ts';
import { laid, where } from '../align/laidLog.ts';
import { lapOf } from '../gap/pair.ts';
import { bendsOf } from '../simulator/bendsOf.ts';
import { onsetOf, type Profile, profileLog } from './profileLog.ts';

// Truth: speeds in closed form (constant deceleration, held speed, constant drive) and controls switched at known places.

const course = rounded();
const circuit = circuitOf(course);
const bends = bendsOf(course);
const RATE_HZ = 100;
const profile: Profile = {
  topMps: 45,
  brakingMps2: 9,
  driveMps2: 5,
  slow: bends.map(({ fromM, toM }) => ({ fromM: fromM + 10, toM: fromM + 10 + (toM - fromM) / 2, mps: 17 })),
};
/** Where each corner is braked for: the second and fourth are reached below top speed. */
const onsets = profile.slow.map((slow, i) => {
  const before = profile.slow.at(i - 1)!;
  const way = (slow.fromM - before.toM + course.lengthM) % course.lengthM;
  // v² = m² + 2 d x, counted back from the corner, meets v² = m² + 2 a (way - x), counted on from the one before.
  const meet = (profile.driveMps2 * way) / (profile.brakingMps2 + profile.driveMps2);
  return Math.max(onsetOf(profile, slow), slow.fromM - meet);
});
const zones: Zone[] = bends.map(({ name, fromM, toM }, i) => {
  const next = bends[(i + 1) % bends.length]!;
  const before = bends.at(i - 1)!;
  const straight = (fromM - before.toM + course.lengthM) % course.lengthM;
  const after = (next.fromM - toM + course.lengthM) % course.lengthM;
  return { name, fromM: fromM - 0.85 * straight, entryM: fromM, exitM: toM, toM: toM + 0.15 * after };
});

const within = (s: number, fromM: number, toM: number): boolean => s >= fromM && s < toM;
const brake = (s: number): number => (profile.slow.some((x, i) => within(s, onsets[i]!, x.fromM)) ? 8e5 : 0);
/** Closed under braking, a trickle that holds the corner, then opened over 15 m. */
const throttle = (s: number): number => {
  for (const [i, x] of profile.slow.entries()) {
    if (within(s, onsets[i]!, x.fromM)) return 0;
    if (within(s, x.fromM, x.toM)) return 0.15;
    if (within(s, x.toM, x.toM + 15)) return 0.15 + (0.85 * (s - x.toM)) / 15;
  }
  return 1;
};

const lap = (channels: Record<string, (s: number) => number>): AlignedLap =>
  lapOf(profileLog(course, profile, channels, RATE_HZ), circuit, {}, 1);
const measure = (of: AlignedLap, rules = rulesOf(of)): CornerTechnique[] => techniqueOf(of, zones, rules);
/** A row at top speed, and what the foot of a rise may hide: 5 % of 85 % over 15 m. */
const ROW_M = 45 / RATE_HZ;

describe('with brake and throttle channels', () => {
  const full = lap({ brake_front: brake, throttle });
  const found = measure(full);

  test('the rule is theirs', () => {
    expect(rulesOf(full)).toEqual({ braking: 'brake', pickUp: 'throttle' });
    expect(found.map(({ rule }) => rule)).toEqual(bends.map(() => ({ braking: 'brake', pickUp: 'throttle' })));
  });

  test.each(bends.map(({ name }, i) => [name, i] as const))(
    'corner %s: onset, release and pick-up within a row',
    (_, i) => {
      const { brakeOnsetM, brakeReleaseM, pickUpM } = found[i]!;
      expect(Math.abs(brakeOnsetM! - onsets[i]!)).toBeLessThan(ROW_M);
      expect(Math.abs(brakeReleaseM! - profile.slow[i]!.fromM)).toBeLessThan(ROW_M);
      expect(pickUpM! - profile.slow[i]!.toM).toBeGreaterThan(-ROW_M);
      expect(pickUpM! - profile.slow[i]!.toM).toBeLessThan(2);
    },
  );

  test.each(bends.map(({ name }, i) => [name, i] as const))('corner %s: how hard, how slow, how full', (_, i) => {
    const t = found[i]!;
    expect(t.slowestMps).toBeCloseTo(17, 2);
    expect(t.peakDecelerationMps2!).toBeCloseTo(9, 1);
    // Both edges of the application lie half a row off, where the speed is still or already another.
    expect(Math.abs(t.meanDecelerationMps2! - 9)).toBeLessThan(0.2);
    expect(t.timeToPeakS!).toBeLessThan((45 - 17) / 9);
    // 95 % of full throttle: 0.95 of the way from 0.15 to 1 is 0.9412 of 15 m.
    expect(Math.abs(t.fullDriveM! - (profile.slow[i]!.toM + (15 * 0.8) / 0.85))).toBeLessThan(1);
    const exit = Math.sqrt(17 ** 2 + 2 * 5 * (zones[i]!.exitM - profile.slow[i]!.toM));
    expect(t.exitMps).toBeCloseTo(exit, 1);
    // Neither brake nor throttle: never, on this lap.
    expect(t.coastingS).toBe(0);
  });
});

describe('without them', () => {
  const bare = measure(lap({}));

  test('braking and pick-up come from the speed, within 3 m of where the controls moved', () => {
    bare.forEach(({ rule, brakeOnsetM, pickUpM }, i) => {
      expect(rule).toEqual({ braking: 'speed', pickUp: 'speed' });
      expect(Math.abs(brakeOnsetM! - onsets[i]!)).toBeLessThan(3);
      expect(Math.abs(pickUpM! - profile.slow[i]!.toM)).toBeLessThan(3);
    });
  });

  test('against a lap that has them, both are measured by speed, and differ by nothing', () => {
    const full = lap({ brake_front: brake, throttle });
    const rules = commonRules(rulesOf(full), rulesOf(lap({})));
    expect(rules).toEqual({ braking: 'speed', pickUp: 'speed' });
    measure(full, rules).forEach(({ brakeOnsetM, pickUpM, rule }, i) => {
      expect(rule).toEqual({ braking: 'speed', pickUp: 'speed' });
      expect(brakeOnsetM).toBe(bare[i]!.brakeOnsetM);
      expect(pickUpM).toBe(bare[i]!.pickUpM);
    });
  });

  test('a brake channel that never moved is none', () => {
    expect(rulesOf(lap({ brake_front: () => 0, throttle: () => 0 }))).toEqual({ braking: 'speed', pickUp: 'speed' });
  });
});

describe('the brake', () => {
  const onsetsOf = (channel: (s: number) => number): number[] =>
    measure(lap({ brake_front: channel, throttle })).map(({ brakeOnsetM }) => brakeOnsetM!);

  test('may rest off zero', () => {
    onsetsOf((s) => brake(s) + 0.3e5).forEach((s, i) => void expect(Math.abs(s - onsets[i]!)).toBeLessThan(ROW_M));
  });

  test('is not on for a twitch of 40 ms before the braking', () => {
    // 30 m before the onset, 1.5 m long at about 40 m/s.
    const twitch = (s: number): number => (onsets.some((o) => within(s, o - 30, o - 28.5)) ? 8e5 : brake(s));
    onsetsOf(twitch).forEach((s, i) => void expect(Math.abs(s - onsets[i]!)).toBeLessThan(ROW_M));
  });

  test('let go for 0.2 s within the braking is one application, for 0.6 s two, of which the greater counts', () => {
    // At 35 to 40 m/s: 7 m, 24 m.
    const [first] = onsets as [number];
    const pause = (lengthM: number) => (s: number) => (within(s, first + 20, first + 20 + lengthM) ? 0 : brake(s));
    expect(Math.abs(onsetsOf(pause(7))[0]! - first)).toBeLessThan(ROW_M);
    expect(Math.abs(onsetsOf(pause(26))[0]! - (first + 46))).toBeLessThan(ROW_M);
  });

  test('held into the lean overlaps with it for as long as it does', () => {
    // Leaning beyond 15 degrees from 20 m before the release on: sqrt(17² + 2·9·20) = 25.5 m/s, so 0.943 s.
    const roll = (s: number): number => (profile.slow.some((x) => within(s, x.fromM - 20, x.toM)) ? -0.5 : 0);
    measure(lap({ brake_front: brake, throttle, roll })).forEach((t) => {
      expect(Math.abs(t.brakeLeanOverlapS! - (Math.sqrt(17 ** 2 + 360) - 17) / 9)).toBeLessThan(0.03);
      expect(t.maxLeanRad).toBe(0.5);
    });
  });
});

describe('the throttle', () => {
  test('that is never closed picks nothing up', () => {
    measure(lap({ brake_front: brake, throttle: () => 1 })).forEach(({ pickUpM }) => void expect(pickUpM).toBeNull());
  });

  test('that holds the machine at a trickle, however long, has not picked up', () => {
    const trickle = (s: number): number => Math.max(throttle(s), 0.2);
    measure(lap({ brake_front: brake, throttle: trickle })).forEach(({ pickUpM }, i) => {
      expect(pickUpM! - profile.slow[i]!.toM).toBeGreaterThan(-ROW_M);
      expect(pickUpM! - profile.slow[i]!.toM).toBeLessThan(2.5);
    });
  });

  test('closed between braking and opening is coasting, for as long as it lasts', () => {
    // From the release to the end of the held speed at 17 m/s, then opened.
    const late = (s: number): number => (profile.slow.some((x) => within(s, x.fromM, x.toM)) ? 0 : throttle(s));
    measure(lap({ brake_front: brake, throttle: late })).forEach(({ coastingS }, i) => {
      const { fromM, toM } = profile.slow[i]!;
      // Up to the row at which the opening counts, 5 % of full: 0.9 m at 17 m/s.
      expect(Math.abs(coastingS! - (toM - fromM) / 17)).toBeLessThan(0.06);
    });
  });
});

test('changes of gear are listed where they are, with the time the clutch was open', () => {
  const [slow] = profile.slow as [Profile['slow'][number]];
  const gear = (s: number): number => (within(s, slow.fromM - 30, slow.toM + 30) ? 2 : 4);
  const clutch = (s: number): number => (Math.abs(s - (slow.toM + 30)) < 2 ? 1 : 0);
  const [first] = measure(lap({ brake_front: brake, throttle, gear, clutch }));
  const { shifts } = first!;
  expect(shifts.map(({ from, to }) => [from, to])).toEqual([
    [4, 2],
    [2, 4],
  ]);
  expect(shifts[0]!.stationM).toBeCloseTo(slow.fromM - 30, 0);
  expect(shifts[1]!.stationM).toBeCloseTo(slow.toM + 30, 0);
  // 4 m at sqrt(17² + 2·5·30) = 24.3 m/s.
  expect(Math.abs(shifts[1]!.durationS! - 4 / 24.3)).toBeLessThan(0.04);
});

test('corners that the log did not reach are left out, and nothing is made up for them', () => {
  const log = profileLog(course, profile, { brake_front: brake, throttle }, RATE_HZ);
  const cut = where(log, (i) => log.stationM[i]! < 0.6 * course.lengthM);
  const rest = laid(cut, circuit, { stage: 'simulation' }).aligned.get(1)!;
  expect(rest.timeS).toBeNull();
  const reached = bends.filter(({ toM }) => toM < 0.6 * course.lengthM).map(({ name }) => name);
  expect(reached.length).toBeGreaterThan(1);
  expect(measure(rest).map(({ corner }) => corner)).toEqual(reached);
});
