import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { describePair, type Side } from '../../src/causes/describe.ts';
import type { Envelope } from '../../src/causes/envelope.ts';
import { fitEnvelope } from '../../src/causes/fitEnvelope.ts';
import { CAUSES } from '../../src/causes/list.ts';
import type { LapCauses } from '../../src/causes/schema.ts';
import { lapCausesResult } from '../../src/causes/schema.ts';
import { Mixtures, split } from '../../src/causes/split.ts';
import type { Circuit } from '../../src/circuit/circuit.ts';
import { circuitOf, rounded } from '../align/courses.ts';
import { type Log, logOf, without } from '../align/laidLog.ts';
import { simulated } from '../align/simulated.ts';
import { lapOf, mapOf } from '../gap/pair.ts';
import { CAPABLE, type Manner, riderOf } from '../gap/riders.ts';
import { byGroup, causesOf } from './causesOf.ts';

// What must hold of every split, whoever rides: the properties are those of the method (its list of invariants I1 to
// I13), no number comes from the code.

const course = rounded();
const circuit = circuitOf(course);
const log = (who: Manner, seed = 'x', ride = {}): Log =>
  logOf(simulated(course, { rateHz: 100 }, { rider: riderOf(course, who), seed, ...ride }));
const lapBy = (who: Manner, seed = 'x') => lapOf(log(who, seed), circuit);

const manner = fc.record({
  gripUse: fc.double({ min: 0.55, max: 0.95, noNaN: true }),
  brakeUse: fc.double({ min: 0.5, max: 0.95, noNaN: true }),
  driveUse: fc.double({ min: 0.6, max: 1, noNaN: true }),
  earlyM: fc.double({ min: 0, max: 25, noNaN: true }),
  lateM: fc.double({ min: 0, max: 15, noNaN: true }),
  asideM: fc.double({ min: -1.5, max: 1.5, noNaN: true }),
});

const reference = lapBy(CAPABLE);
const map = mapOf(reference);
const slower = lapBy({ gripUse: 0.72, brakeUse: 0.7, driveUse: 0.85, earlyM: 12, lateM: 6, asideM: 0.8 });
const fitted = fitEnvelope([reference, slower])!;
const causes = causesOf(slower, reference, map, { fitted });

const sum = (values: readonly number[]): number => values.reduce((all, v) => all + v, 0);
const shares = (w: LapCauses['windows'][number]): number[] => w.causes.map(({ gapS }) => gapS);

describe('for any two riders', () => {
  test('I1, I5: causes sum to the window, windows to the lap, in their own and in the charged account; I10: both laps come back', () => {
    fc.assert(
      fc.property(manner, manner, (one, two) => {
        const a = lapBy(one);
        const b = lapBy(two);
        const result = causesOf(a, b, map, { fitted });
        expect(Math.abs(result.gapS - (a.timeS! - b.timeS!))).toBeLessThan(1e-9);
        expect(Math.abs(sum(result.causes.map(({ gapS }) => gapS)) - result.gapS)).toBeLessThan(1e-9);
        expect(Math.abs(sum(result.groups.map(({ gapS }) => gapS)) - result.gapS)).toBeLessThan(1e-9);
        let at = 0;
        for (const w of result.windows) {
          expect(w.fromM).toBe(at);
          at = w.toM;
          expect(Math.abs(sum(shares(w)) - w.gapS)).toBeLessThan(1e-9);
          expect(Math.abs(w.lengthS + w.speedS - w.gapS)).toBeLessThan(1e-9);
        }
        // Mixture 0 takes nothing of the reference.
        expect(Math.abs(sum(result.windows.map((w) => w.mixtureS[0]!)) - a.timeS!)).toBeLessThan(1e-9);
        expect(at).toBe(circuit.lengthM);
        lapCausesResult.parse(JSON.parse(JSON.stringify(result)));
      }),
      { seed: 20, numRuns: 8 },
    );
  });

  test('I3: exchanging the laps changes every sign', () => {
    const other = causesOf(reference, slower, map, { fitted });
    causes.windows.forEach((w, k) => {
      w.causes.forEach(({ gapS }, c) => {
        expect(Math.abs(gapS + other.windows[k]!.causes[c]!.gapS)).toBeLessThan(1e-9);
      });
    });
  });

  test('I4: a lap against itself is nothing anywhere', () => {
    const none = causesOf(slower, slower, map, { fitted, draws: 3 });
    for (const w of none.windows) expect(shares(w).every((v) => v === 0)).toBe(true);
    expect(none.groups.every(({ gapS }) => gapS === 0)).toBe(true);
  });

  test('I13: a sum of sizes over five times the sum marks the window, and its members are not told apart', () => {
    for (const w of causes.windows) {
      const ratio = sum(shares(w).map(Math.abs)) / Math.abs(sum(shares(w)));
      expect(w.cancellation).toBeCloseTo(ratio, 9);
      expect(w.illConditioned).toBe(ratio > 5);
      if (w.illConditioned)
        expect(w.causes.filter(({ cause }) => cause === 'onset').every(({ refused }) => refused !== null)).toBe(true);
    }
  });
});

/** One braked corner of made curves, so that a single thing can be changed in it. */
function side(change: Partial<Record<'speed' | 'drive', number>> = {}): Side {
  const n = 300;
  const { speed = 1, drive = 1 } = change;
  const energy = Float64Array.from({ length: n }, (_, i) => {
    if (i < 100) return 1200 + 2 * i;
    if (i < 180) return 1400 - 12.5 * (i - 100);
    if (i < 210) return 400;
    return 400 + 7 * drive * (i - 210);
  });
  return {
    ridden: {
      fromM: 0,
      stepM: 1,
      softCells: 2,
      timeS: sum([...energy].map((e) => 1 / Math.sqrt(2 * e * speed * speed))),
      pathPerStation: new Float64Array(n).fill(1),
      energy: energy.map((e) => e * speed * speed),
      curvaturePerM: Float64Array.from({ length: n }, (_, i) => (i > 170 && i < 230 ? 0.015 : 1e-6)),
      directionSigmaRad: new Float64Array(n),
      throttle: null,
    },
    events: { brakeOnsetM: 100, pickUpM: 210, upshiftsM: [] },
    machine: { powerScale: 1, dragPerM: 0.0007 },
    bendSigma: 0,
  };
}

const ENVELOPE: Envelope = {
  tractionMps2: 8.5,
  powerWpkg: 430,
  brakingMps2: 10,
  lateralMps2: 13,
  exponent: 2,
  floorShare: 0.3,
  dragPerM: 0.0007,
  rollingMps2: 0.15,
};
const scaled = (e: Envelope, c: number): Envelope => ({
  ...e,
  tractionMps2: e.tractionMps2 * c * c,
  powerWpkg: e.powerWpkg * c ** 3,
  brakingMps2: e.brakingMps2 * c * c,
  lateralMps2: e.lateralMps2 * c * c,
  rollingMps2: e.rollingMps2 * c * c,
});
const splitOf = (a: Side, b: Side, envelope = ENVELOPE) =>
  split(describePair(a, b, 171, 229, true, envelope), envelope);
const share = (values: Float64Array, key: string): number => values[CAUSES.findIndex((c) => c.key === key)]!;

describe('in one corner', () => {
  test('I2: what is identical in both has a share of exactly 0, and what alone differs has all but a trace', () => {
    const { shareS } = splitOf(side({ drive: 0.9 }), side());
    for (const key of ['lineLength', 'lineShape', 'carry', 'machineParity', 'pickUp', 'shifts'])
      expect(share(shareS, key)).toBe(0);
    const gapS = sum([...shareS]);
    expect(gapS).toBeGreaterThan(0.02);
    expect(Math.abs(share(shareS, 'drive') - gapS)).toBeLessThan(0.01 * gapS);
  });

  test('I9: both laps, and the envelope, c times as fast: every share is 1/c of it', () => {
    const [a, b] = [side({ drive: 0.9, speed: 0.97 }), side()];
    const base = splitOf(a, b);
    const c = 1.3;
    const [fastA, fastB] = [side({ drive: 0.9, speed: 0.97 * c }), side({ speed: c })];
    const fast = splitOf(fastA, fastB, scaled(ENVELOPE, c));
    base.shareS.forEach((s, i) => {
      expect(Math.abs(fast.shareS[i]! * c - s)).toBeLessThan(1e-9);
    });
  });

  test('I11: the larger a single defect, the larger its share', () => {
    const of = (drive: number): number => share(splitOf(side({ drive }), side()).shareS, 'drive');
    const rising = [0.98, 0.95, 0.9, 0.85, 0.8].map(of);
    for (let i = 1; i < rising.length; i++) expect(rising[i]!).toBeGreaterThan(rising[i - 1]!);
  });

  test('mixtures meet both laps at their ends', () => {
    const described = describePair(side({ speed: 0.95 }), side(), 171, 229, true, ENVELOPE);
    const mixtures = new Mixtures(described, ENVELOPE);
    expect(mixtures.timeS((1 << CAUSES.length) - 1)).toBeCloseTo(side({ speed: 0.95 }).ridden.timeS, 9);
    expect(mixtures.timeS(0)).toBeCloseTo(side().ridden.timeS, 9);
  });
});

describe('what must not matter', () => {
  test('I6: cells of a quarter and of half the length move no group of a corner by more than 3 ms', () => {
    for (const stepM of [0.25, 0.5]) {
      const other = causesOf(slower, reference, map, { fitted, stepM });
      causes.windows.forEach((w, k) => {
        w.groups.forEach(({ gapS, group }, g) => {
          const now = other.windows[k]!.groups[g]!.gapS;
          expect(Math.abs(now - gapS), `${w.corner} ${group} ${stepM}`).toBeLessThan(0.003);
        });
      });
    }
  });

  const SLOWER = { gripUse: 0.72, brakeUse: 0.7, driveUse: 0.85, earlyM: 12, lateM: 6, asideM: 0.8 };
  /** The two laps on another circuit, split by the map that its reference gives. */
  const again = (on: Circuit, change = (l: Log): Log => l): LapCauses => {
    const [a, b] = [lapOf(change(log(SLOWER)), on), lapOf(change(log(CAPABLE)), on)];
    return causesOf(a, b, mapOf(b), { fitted });
  };
  const same = (c: LapCauses, mostS: number, names: readonly string[]): void => {
    for (const name of names) {
      const [here, there] = [causes, c].map((x) => x.windows.find(({ corner }) => corner === name)!);
      here!.groups.forEach(({ group, gapS }, g) => {
        expect(Math.abs(there!.groups[g]!.gapS - gapS), `${name} ${group}`).toBeLessThan(mostS);
      });
    }
  };

  test('I7: where the lap is begun moves no group of a whole corner by more than 0.5 ms, of the lap by 20 ms and 3 %', () => {
    // Steady laps: the lap before is ridden the same way, so that what crosses the gate is the same all round.
    const other = again(circuitOf(course, 60));
    same(other, 0.0005, ['1', '2', '3']);
    const [here, there] = [byGroup(causes), byGroup(other)];
    // What a lap brings over the gate was made by the drive of the lap before, and counts to drive and carry.
    for (const group of ['line', 'entry', 'apex'])
      expect(Math.abs(there[group]! - here[group]!), group).toBeLessThan(0.02 + 0.03 * Math.abs(here[group]!));
    expect(Math.abs(other.gapS - causes.gapS)).toBeLessThan(1e-6);
  });

  test('I7: a mirrored course and mirrored logs have the same causes within 0.5 ms', () => {
    const mirrored = (l: Log): Log => {
      const rows = { ...l.rows };
      for (const name of ['north', 'roll', 'yaw_rate', 'acc_lat', 'heading', 'steer_angle', 'steer_torque'])
        if (rows[name]) rows[name] = rows[name].map((v) => -v);
      return { ...l, rows };
    };
    const other = again(circuitOf({ ...course, y: course.y.map((v) => -v) }), mirrored);
    same(other, 0.0005, ['1', '2', '3', '4']);
  });

  test('I8: on another line of reference, a metre to the left, no group of a whole corner moves by more than 5 ms', () => {
    const aside = Array.from({ length: course.x.length }, (_, i) => {
      const [before, after] = [(i + course.count - 1) % course.count, (i + 1) % course.count];
      const [dx, dy] = [course.x[after]! - course.x[before]!, course.y[after]! - course.y[before]!];
      return [-dy / Math.hypot(dx, dy), dx / Math.hypot(dx, dy)] as const;
    });
    const moved = {
      ...course,
      x: course.x.map((x, i) => x + aside[i]![0]),
      y: course.y.map((y, i) => y + aside[i]![1]),
    };
    const other = again(circuitOf(moved));
    same(other, 0.005, ['1', '2', '3']);
  });

  test('I12: a sample more or less of an event moves no group by more than its interval', () => {
    const zoned = causesOf(slower, reference, map, { fitted, draws: 20 });
    const early = without(log({ gripUse: 0.72, brakeUse: 0.7, driveUse: 0.85, earlyM: 12, lateM: 6, asideM: 0.8 }));
    const at = early.rows['throttle']!;
    early.rows['throttle'] = at.map((_, i) => at[Math.max(0, i - 1)]!);
    const brake = early.rows['brake_front']!;
    early.rows['brake_front'] = brake.map((_, i) => brake[Math.max(0, i - 1)]!);
    const other = causesOf(lapOf(early, circuit), reference, map, { fitted });
    zoned.windows.forEach((w, k) => {
      w.groups.forEach(({ gapS, lowS, highS, group }, g) => {
        const now = other.windows[k]!.groups[g]!.gapS;
        expect(now, `${w.corner} ${group} ${gapS}`).toBeGreaterThanOrEqual(lowS! - 1e-9);
        expect(now, `${w.corner} ${group} ${gapS}`).toBeLessThanOrEqual(highS! + 1e-9);
      });
    });
  });
});

describe('with channels missing', () => {
  const own = { gripUse: 0.72, brakeUse: 0.7, driveUse: 0.85, earlyM: 12, lateM: 6, asideM: 0.8 };
  const bare = (...names: string[]) =>
    causesOf(lapOf(without(log(own), ...names), circuit), lapOf(without(log(CAPABLE), ...names), circuit), map, {
      fitted,
    });
  const members = (c: LapCauses, ...keys: string[]): (string | null)[] =>
    c.windows
      .flatMap((w) => w.causes.filter(({ cause }) => keys.includes(cause) && w.mode === 'braked'))
      .map((x) => x.refused ?? null);

  test('without a throttle pick-up and drive are not told apart, and it is said', () => {
    const c = bare('throttle');
    expect(c.untold).toContain('no throttle: pick-up and drive are one');
    expect(members(c, 'pickUp', 'drive').every((r) => r !== null)).toBe(true);
  });

  test('without gears their changes are part of drive, and it is said', () => {
    const c = bare('gear');
    expect(c.untold).toContain('no gear: gear changes are part of drive');
    expect(c.causes.find(({ cause }) => cause === 'shifts')!.gapS).toBe(0);
  });

  test('with nothing but positions and speed the groups still sum to the gap and stay near the full ones', () => {
    const c = bare('throttle', 'gear', 'brake_front', 'brake_rear', 'roll', 'clutch');
    expect(c.untold).toEqual(
      expect.arrayContaining([
        'no brake: braking is read from the speed',
        'no roll: lean is taken from path and speed',
      ]),
    );
    expect(Math.abs(sum(c.groups.map(({ gapS }) => gapS)) - c.gapS)).toBeLessThan(1e-9);
    const [full, here] = [byGroup(causes), byGroup(c)];
    for (const group of ['line', 'entry', 'apex', 'exit'])
      expect(Math.abs(here[group]! - full[group]!), group).toBeLessThan(0.03 + 0.15 * Math.abs(full[group]!));
  });
});

describe('the second rule', () => {
  test('agrees with the first on the groups of every corner that is not ill-conditioned within a fifth of the gap', () => {
    const both = causesOf(slower, reference, map, { fitted, draws: 1 });
    for (const w of both.windows)
      if (!w.illConditioned) expect(w.otherRuleApartS!, w.corner).toBeLessThan(0.02 + 0.2 * Math.abs(w.gapS));
  });
});
