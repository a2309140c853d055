import { describe, expect, test } from 'vitest';
import { confounders } from '../../src/statistics/confounders.ts';
import { steps } from '../../src/statistics/steps.ts';
import { type VersionedSession, versionSteps } from '../../src/statistics/versionSteps.ts';

// Annual flow of the Nile at Aswan 1871 to 1970, 10^8 m³ (public record; Cobb, Biometrika 65 (1978) 243, dates the change
// to 1898, the last year of the old level).
const NILE = [
  1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140, 1100,
  1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969, 831, 726, 456,
  824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759, 781, 865, 845, 944, 984, 897,
  822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890, 744, 749, 838, 1050, 918, 986, 797, 923, 975,
  815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
];

/** Scatter without any pattern to speak of. */
const noise = (i: number): number =>
  [0.03, -0.05, 0.01, 0.06, -0.02, -0.04, 0.05, 0, -0.06, 0.02, 0.04, -0.03][i % 12]!;

describe('steps', () => {
  test('the one step of the Nile is found, at its year', () => {
    const found = steps(
      NILE.map((_, i) => i),
      NILE,
      1,
    );
    expect(found.map(({ at }) => 1871 + at)).toEqual([1899]);
    expect(found[0]!.interval.high).toBeLessThan(0);
  });

  test('a jump in a learning curve is found at its place and size, and nothing else is', () => {
    const weeks = Array.from({ length: 16 }, (_, w) => w);
    const curve = weeks.map((w) => 1 + 3 * Math.exp(-w / 5) + noise(w));
    expect(steps(weeks, curve, 3)).toEqual([]);
    const found = steps(
      weeks,
      curve.map((v, w) => v - (w >= 9 ? 0.8 : 0)),
      3,
    );
    expect(found.map(({ at }) => at)).toEqual([9]);
    expect(found[0]!.interval.low).toBeLessThan(-0.8);
    expect(found[0]!.interval.high).toBeGreaterThan(-0.8);
  });

  test('the same series gives the same answer, and too few sessions none', () => {
    const weeks = Array.from({ length: 12 }, (_, w) => w);
    const values = weeks.map((w) => noise(w) + (w >= 6 ? -1 : 0));
    expect(steps(weeks, values, 9)).toEqual(steps(weeks, values, 9));
    expect(steps([0, 1, 2, 3, 4], [9, 9, 1, 1, 1], 1)).toEqual([]);
    expect(steps([], [], 1)).toEqual([]);
  });
});

const dry = {
  stage: 'track',
  tyres: 'medium, set 3',
  surface: 'dry',
  trackK: 295,
  airK: 288,
  windMps: 2,
  windFromRad: 1,
  fuelKg: 7,
};

describe('version steps', () => {
  const sessions = Array.from(
    { length: 12 },
    (_, i): VersionedSession => ({
      session: `s${i}`,
      weeks: i,
      version: i < 6 ? '0.3' : '0.4',
      conditions: i === 6 ? { ...dry, tyres: 'medium, set 4', trackK: 307 } : dry,
      values: {
        moved: 1 + noise(i) - (i >= 6 ? 0.6 : 0),
        still: 1 + noise(i + 3),
        odd: 1 + noise(i + 5) + (i >= 3 ? 0.7 : 0),
        gone: null,
      },
    }),
  );

  test('name the version, the corner and what else changed', () => {
    const found = versionSteps(sessions, [['moved', 'still', 'gone']]);
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({
      key: 'moved',
      session: 's6',
      previous: 's5',
      version: { from: '0.3', to: '0.4' },
    });
    expect(found[0]!.confounders.map(({ what }) => what)).toEqual(['tyres', 'track temperature']);
  });

  test('a step without a new version has no known cause', () => {
    const found = versionSteps(sessions, [['odd']]);
    expect(found.map(({ session, version }) => ({ session, version }))).toEqual([{ session: 's3', version: null }]);
  });
});

describe('confounders', () => {
  test('what was not noted cannot be ruled out', () => {
    expect(confounders(dry, dry)).toEqual([]);
    const { fuelKg: _, ...unknown } = dry;
    expect(confounders(dry, unknown)).toEqual([{ what: 'fuel', change: 'not noted', before: 7, after: null }]);
  });

  test('the same wind from the other side is another wind', () => {
    const turned = { ...dry, windFromRad: dry.windFromRad + Math.PI };
    expect(confounders(dry, turned).map(({ what }) => what)).toEqual(['wind']);
  });
});
