import { describe, expect, test } from 'vitest';
import { compositeOf } from '../../src/campaign/findings/compositeOf.ts';
import { type Digest, digestOf, LAP } from '../../src/campaign/findings/digest.ts';
import { findingsOf } from '../../src/campaign/findings/findingsOf.ts';
import { notProgress } from '../../src/campaign/findings/progress.ts';
import { type CampaignResult, campaignResult, type LapCurves, type RunResult } from '../../src/campaign/results.ts';
import { readCheck, readReference, withReference } from '../reference/folder.ts';

// Expected values: plain arithmetic beside each check, and the reference folder where it is there.

const CORNERS = ['1', '2', '3'];
const circuit = {
  id: 'ring',
  corners: CORNERS.map((name) => ({ name })),
  reference: { session: '2026-01-01-reference', run: 'run.csv', lap: 1, timeS: 100, rider: 'Rider' },
} as unknown as CampaignResult['circuits'][number];

/** A lap with its gap, and of it what each corner has; all of it is braking. */
const lap = (gapS: number, corners: readonly number[] = [gapS, 0, 0]) => ({
  timeS: 100 + gapS,
  gapS: {
    [LAP]: gapS,
    'phase braking': gapS,
    ...Object.fromEntries(
      CORNERS.flatMap((name, i) => [
        [`corner ${name}`, corners[i]!],
        [`braking of ${name}`, corners[i]!],
      ]),
    ),
  },
  sigmaS: {},
});

interface Made {
  readonly date: string;
  readonly gaps?: readonly number[];
  readonly laps?: readonly ReturnType<typeof lap>[];
  readonly stage?: Digest['stage'];
  readonly controller?: string;
  readonly conditions?: Readonly<Record<string, string>>;
  readonly robot?: boolean;
}

function campaign(sessions: readonly Made[], targets: CampaignResult['targets'] = []) {
  const digests = sessions.map((s, place): Digest => {
    const robot = s.robot ?? true;
    return {
      session: `${s.date}-${robot ? (s.stage ?? 'track') : 'reference'}`,
      date: s.date,
      stage: s.stage ?? 'track',
      circuit: 'ring',
      controller: s.controller ?? '1.0',
      conditions: { ...s.conditions },
      reference: null,
      robot,
      place,
      runs: [
        {
          file: 'run.csv',
          configuration: {},
          configurationHash: s.controller ?? '1.0',
          laps: s.laps ?? (s.gaps ?? []).map((gapS) => lap(gapS)),
        },
      ],
    };
  });
  const found = findingsOf(digests, { circuits: [circuit], targets });
  expect(campaignResult.shape.findings.safeParse(JSON.parse(JSON.stringify(found))).error).toBeUndefined();
  return {
    ...found,
    of: (date: string) => found.sessions.find(({ session }) => session.startsWith(date))!,
    ring: found.circuits[0]!,
  };
}

const REFERENCE: Made = { date: '2026-01-01', robot: false, gaps: [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7] };
const against = (found: ReturnType<typeof campaign>, date: string, kind: string) =>
  found.of(date).against.find((a) => a.kind === kind)!;

describe('which sessions speak for the robot on the track', () => {
  test('those on the track on the surface of the reference; nothing noted is dry', () => {
    expect(notProgress({ stage: 'track', conditions: { surface: 'dry' } }, {})).toBe('');
    expect(notProgress({ stage: 'track', conditions: {} }, null)).toBe('');
    expect(notProgress({ stage: 'track', conditions: { surface: 'Wet' } }, { surface: 'wet' })).toBe('');
    expect(notProgress({ stage: 'track', conditions: { surface: 'wet' } }, {})).toMatch(/wet/);
    expect(notProgress({ stage: 'simulation', conditions: {} }, {})).toMatch(/simulation/);
    expect(notProgress({ stage: 'bench', conditions: {} }, {})).toMatch(/bench/);
  });

  test('a wet day is not compared with dry ones, nor they with it, and is no step of the trend', () => {
    const found = campaign([
      REFERENCE,
      { date: '2026-02-01', gaps: [5, 5.1, 5.2, 5.3, 5.4] },
      { date: '2026-02-08', gaps: [20, 20.1, 20.2, 20.3, 20.4], conditions: { surface: 'wet' } },
      { date: '2026-02-15', gaps: [4, 4.1, 4.2, 4.3, 4.4] },
    ]);
    expect(found.ring.progress).toEqual(['2026-02-01-track', '2026-02-15-track']);
    expect(found.of('2026-02-08')).toMatchObject({ progress: false, against: [] });
    expect(against(found, '2026-02-15', 'session before').with).toEqual(['2026-02-01-track']);
    // All 25 differences from -1.4 to -0.6, their median -1.
    expect(against(found, '2026-02-15', 'session before').lap.changeS).toBeCloseTo(-1, 9);
  });
});

describe('causes', () => {
  /** A lap that was split: entry and exit of corners 1 and 2. */
  const split = (entry1: number, exit1: number, entry2: number) => {
    const { gapS, ...rest } = lap(entry1 + exit1 + entry2, [entry1 + exit1, entry2, 0]);
    return {
      ...rest,
      gapS: {
        ...gapS,
        'cause entry': entry1 + entry2,
        'cause exit': exit1,
        'cause entry of 1': entry1,
        'cause exit of 1': exit1,
        'cause entry of 2': entry2,
      },
    };
  };
  const noise = (i: number): number => 0.02 * Math.sin(12.9898 * (i + 1));
  const sessions = Array.from({ length: 12 }, (_, i) => ({
    date: new Date(Date.UTC(2026, 1, 1 + 7 * i)).toISOString().slice(0, 10),
    controller: i < 6 ? '0.4' : '0.5',
    laps: [0, 1, 2, 3].map((k) =>
      split((i < 6 ? 0.9 : 0.4) + noise(7 * i + k), 0.5 + noise(11 * i + k), 0.2 + noise(13 * i + k)),
    ),
  }));
  const found = campaign([REFERENCE, ...sessions]);

  test('a step is given to the version, corner and group of causes that it lies in, and to no other', () => {
    const steps = found.ring.steps.filter(({ group }) => group !== null);
    expect(steps.map(({ corner, group, to }) => [corner, group, to])).toEqual([
      [null, 'entry', '0.5'],
      ['1', 'entry', '0.5'],
    ]);
    for (const { sizeS } of steps) expect(Math.abs(sizeS + 0.5)).toBeLessThan(0.03);
  });

  test('what next by cause: exit of corner 1, then its entry, then that of corner 2', () => {
    expect(found.ring.nextByCause.slice(0, 3).map(({ corner, group }) => `${group} of ${corner}`)).toEqual([
      'exit of 1',
      'entry of 1',
      'entry of 2',
    ]);
    expect(found.ring.nextByCause[0]!.remainingS).toBeCloseTo(0.5, 1);
    expect(found.ring.nextByCause[0]!.real).toBeGreaterThan(0.99);
  });

  test('a change is judged cause by cause', () => {
    const change = against(found, sessions[6]!.date, 'session before').causes;
    expect(change.map(({ group, verdict }) => [group, verdict])).toEqual([
      ['entry', 'within these sessions only'],
      ['exit', 'cannot tell'],
    ]);
  });

  test('laps that were not split have none', () => {
    const without = campaign([
      REFERENCE,
      { date: '2026-02-01', gaps: [1, 1.1] },
      { date: '2026-02-08', gaps: [1, 1.2] },
    ]);
    expect(without.ring.nextByCause).toEqual([]);
    expect(without.of('2026-02-08')).toMatchObject({ causes: [], against: [{ causes: [] }] });
  });

  test('a digest adds up the windows of a corner that the gate cuts, and counts groups without a difference as nothing', () => {
    const window = (corner: string, groups: Record<string, number>) => ({
      corner,
      groups: Object.entries(groups).map(([group, madeS]) => ({ group, gapS: 0, madeS })),
    });
    const result = {
      rider: { key: 'robot', kind: 'robot' },
      runs: [
        {
          rider: 'robot',
          laps: [
            {
              counted: true,
              timeS: 100,
              gapS: 1,
              ledger: [{ corner: '1', phase: 'braking', gapS: 1, sigmaS: 0 }],
              causes: {
                groups: [{ group: 'entry', gapS: 0.75 }],
                windows: [window('1', { entry: 0.5 }), window('2', { line: -0.25 }), window('1', { entry: 0.25 })],
              },
            },
          ],
        },
      ],
    } as unknown as Parameters<typeof digestOf>[0];
    expect(digestOf(result, 0).runs[0]!.laps[0]!.gapS).toMatchObject({
      'cause entry': 0.75,
      'cause line': 0,
      'cause entry of 1': 0.75,
      'cause line of 2': -0.25,
    });
  });
});

describe('real or noise', () => {
  test('one day against another is never real, two against two may be', () => {
    const days = (controller: string, level: number, from: number): Made[] =>
      [0, 0.1].map((shift, i) => ({
        date: `2026-02-0${from + i}`,
        controller,
        gaps: [-0.02, -0.01, 0, 0.01, 0.02].map((d) => level + shift + d),
      }));
    const found = campaign([REFERENCE, ...days('1.0', 5, 1), ...days('2.0', 3, 3)]);
    expect(against(found, '2026-02-03', 'session before').lap.verdict).toBe('within these sessions only');
    // Medians of days 5, 5.1 and 3, 3.1: difference -2, pooled sd 0.0707, error 0.0707, t = -28 with 2 degrees of freedom.
    const version = against(found, '2026-02-04', 'version before').lap;
    expect(version).toMatchObject({ verdict: 'real', scope: 'between days', before: { days: 2 }, after: { days: 2 } });
    expect(version.changeS).toBeCloseTo(-2, 9);
    // t table, 2 degrees of freedom, 97.5 %: 4.303.
    expect(version.interval!.highS).toBeCloseTo(-2 + 4.303 * Math.sqrt(0.005), 3);
  });

  test('a brilliant best lap is no progress', () => {
    const found = campaign([
      REFERENCE,
      { date: '2026-02-01', gaps: [5, 5.1, 5.2, 5.3, 5.4, 5.5] },
      { date: '2026-02-08', gaps: [2, 5.05, 5.15, 5.25, 5.35, 5.45] },
    ]);
    expect(against(found, '2026-02-08', 'session before').lap.verdict).toBe('cannot tell');
    expect(against(found, '2026-02-08', 'session before').lap.detectableS).toBeGreaterThan(0);
  });

  test('two laps against two are too few, and say so with their numbers', () => {
    const found = campaign([REFERENCE, { date: '2026-02-01', gaps: [5, 5.1] }, { date: '2026-02-08', gaps: [1, 1.1] }]);
    expect(against(found, '2026-02-08', 'session before').lap).toMatchObject({
      verdict: 'too few',
      interval: null,
      before: { laps: 2 },
      after: { laps: 2 },
    });
  });

  test('what else changed stands beside it, and what nobody noted', () => {
    const found = campaign([
      REFERENCE,
      { date: '2026-02-01', gaps: [5, 5.1, 5.2], conditions: { tyres: 'set 1', track: '10 Cel', fuel: '7 kg' } },
      { date: '2026-02-08', gaps: [4, 4.1, 4.2], conditions: { tyres: 'set 2', track: '25 Cel', fuel: '7 kg' } },
    ]);
    const { confounders } = against(found, '2026-02-08', 'session before');
    // 15 K of track are more than 10; fuel is the same; surface, air and wind are not noted.
    expect(confounders.filter(({ change }) => change === 'changed').map(({ what }) => what)).toEqual([
      'tyres',
      'track temperature',
    ]);
    expect(confounders.map(({ what }) => what)).not.toContain('fuel');
    expect(confounders.find(({ what }) => what === 'wind')).toMatchObject({ change: 'not noted' });
  });

  test('the reference rider’s own laps are a band', () => {
    const found = campaign([REFERENCE, { date: '2026-02-01', gaps: [0.34, 0.35, 0.36] }]);
    // Of 0, 0.1 … 0.7 four are below 0.35.
    expect(found.of('2026-02-01').band!.lap).toMatchObject({ n: 8, faster: 0.5, verdict: 'inside' });
    // Two of nine laps of one rider lie at the ends.
    expect(found.of('2026-02-01').band!.lap.outsideByChance).toBeCloseTo(2 / 9, 6);
  });
});

describe('what next and what simulation was worth', () => {
  const session = (date: string, corners: readonly number[], stage: Digest['stage'] = 'track'): Made => ({
    date,
    stage,
    laps: [-0.01, 0, 0.01].map((d) => {
      const own = corners.map((c) => c + d);
      return lap(
        own.reduce((a, b) => a + b, 0),
        own,
      );
    }),
  });

  test('half of each gain of the simulation arrived', () => {
    const found = campaign([
      REFERENCE,
      session('2026-02-01', [0.8, 0.6, 0.9], 'simulation'),
      session('2026-02-02', [1, 1, 1]),
      session('2026-02-08', [0.4, 0.4, 0.3], 'simulation'),
      session('2026-02-09', [0.8, 0.9, 0.7]),
    ]);
    // Simulated 0.4, 0.2, 0.6; on the track 0.2, 0.1, 0.3.
    expect(found.ring.transfer).toMatchObject({ changes: 3, arrived: 3 });
    expect(found.ring.transfer!.share).toBeCloseTo(0.5, 9);
    expect(found.ring.transfer!.sd).toBeCloseTo(0, 9);
  });

  test('a loss that was cut for good is not ranked by what it was', () => {
    const found = campaign([
      REFERENCE,
      session('2026-02-01', [2, 0.5, 0.3]),
      session('2026-02-08', [1.4, 0.5, 0.31]),
      session('2026-02-15', [0.7, 0.51, 0.3]),
      session('2026-02-22', [0.1, 0.5, 0.29]),
    ]);
    expect(found.ring.next.map(({ corner }) => corner)).toEqual(['2', '3', '1']);
    // Three laps of 0.01 s scatter: what remains is known to a few hundredths, drift or not.
    expect(Math.abs(found.ring.next[0]!.remainingS - 0.5)).toBeLessThan(0.05);
    expect(found.ring.next[2]!.remainingS).toBeLessThan(0.25);
  });
});

describe('forecast', () => {
  const target = { name: 'One', due: '2026-04-30', gapS: 1, lapTimeS: null } as CampaignResult['targets'][number];
  const weekly = (n: number): Made[] =>
    Array.from({ length: n }, (_, week) => ({
      date: new Date(Date.UTC(2026, 1, 1 + 7 * week)).toISOString().slice(0, 10),
      gaps: [-0.05, 0, 0.05].map((d) => 4 * Math.exp(-week / 4) + 0.5 + d + 0.1 * ((week * 7) % 3) - 0.1),
    }));

  test('none under five weeks', () => {
    const found = campaign([REFERENCE, ...weekly(4)], [target]);
    expect(found.ring.forecast).toEqual({ sessions: 4, effectiveWeeks: 4, made: null });
  });

  test('with the chance of the target that is still to come, and none of one that is past', () => {
    const past = { ...target, name: 'Past', due: '2026-02-02' };
    const { made } = campaign([REFERENCE, ...weekly(9)], [past, target]).ring.forecast;
    expect(made!.targets.map(({ name }) => name)).toEqual(['One']);
    // The curve is at 0.52 s by then.
    expect(made!.targets[0]!.probability).toBeGreaterThan(0.6);
    for (const day of made!.fan) {
      expect(day.lowS).toBeGreaterThanOrEqual(0);
      expect(day.lowS).toBeLessThanOrEqual(day.medianS);
      expect(day.highS).toBeGreaterThanOrEqual(day.medianS);
    }
  });

  test('the same inputs give the same findings', () => {
    const sessions = [REFERENCE, ...weekly(7)];
    expect(campaign(sessions, [target]).ring).toEqual(campaign(sessions, [target]).ring);
  });
});

describe('composite lap of a session', () => {
  const curves = (speed: (s: number) => number): LapCurves => {
    const n = 31;
    const timeS: number[] = [0];
    for (let i = 1; i < n; i++) timeS.push(timeS[i - 1]! + 10 / speed(10 * i - 5));
    const none = Array<number | null>(n).fill(null);
    const at = Array.from({ length: n }, (_, i) => speed(10 * i));
    return {
      schema: 1,
      session: 's',
      run: 'run.csv',
      lap: 1,
      stepM: 10,
      timeS,
      gapS: none,
      sigmaS: none,
      speedMps: at,
      referenceMps: none,
      offsetM: Array<number>(n).fill(0),
      referenceOffsetM: none,
    };
  };

  test('takes the faster half of each of two laps where both are as fast at the joint', () => {
    // 300 m; a joint at 150 m, where both ride at 20 m/s, as at the gate. Lap 1 rides its first half at 20 m/s but for
    // 25 m/s from 40 to 100 m: 60 m in 2.4 s where lap 2 takes 3 s. Lap 2 does so in its second half.
    const quick = (from: number) => (s: number) => (s > from && s < from + 60 ? 25 : 20);
    const [one, two] = [curves(quick(40)), curves(quick(190))];
    const run = {
      file: 'run.csv',
      rider: 'robot',
      laps: [one, two].map((c, i) => ({ lap: i + 1, counted: true, timeS: c.timeS.at(-1)!, curves: String(i) })),
    } as unknown as RunResult;
    const corner = { a: 0, b: 0, r: 150, p: 150 } as CampaignResult['circuits'][number]['corners'][number];
    const found = compositeOf(
      'robot',
      [run],
      [corner],
      300,
      new Map([
        ['0', one],
        ['1', two],
      ]),
    )!;
    // Whole laps 15 - 0.6 = 14.4 s, together 13.8 s.
    expect(found.bestS).toBeCloseTo(14.4, 6);
    expect(found.timeS).toBeCloseTo(13.8, 6);
    expect(found.parts.map(({ lap: number }) => number)).toEqual([1, 2]);
  });
});

// Source: f-stats/real-lap-sample, 18 laps of two people; medians and slope from the check.
withReference('laps that people really rode, through the findings: f-stats/real-lap-sample', () => {
  const rows = readReference('f-stats/real-lap-sample.csv')
    .trim()
    .split('\n')
    .slice(1)
    .map((line) => line.split(','));
  const { cases } = readCheck('f-stats/real-lap-sample.json');
  const session = (driver: string, times: readonly number[]) =>
    campaign([REFERENCE, { date: '2026-02-01', controller: driver, gaps: times.map((t) => t - 100) }]).of('2026-02-01');
  const laps = (driver: string): number[] => rows.filter(([who]) => who === driver).map(([, , timeS]) => Number(timeS));

  test('the novice learns, the expert does not', () => {
    const { learning } = session('novice', laps('novice'));
    expect(learning.verdict).toBe('falls');
    expect(learning.slopeS).toBeCloseTo(cases[0]!.out['theil_sen_per_lap_s']!, 6);
    expect(session('expert', laps('expert')).learning.verdict).toBe('cannot tell');
  });

  test('the spoilt lap fools neither the slope nor the loss', () => {
    const [spoilt, ...others] = laps('novice');
    expect(spoilt).toBeGreaterThan(190);
    const [withIt, without] = [session('novice', laps('novice')), session('novice', others)];
    expect(Math.abs(withIt.learning.slopeS! - without.learning.slopeS!)).toBeLessThan(0.5);
    expect(withIt.lap.lossS).toBeCloseTo(cases[0]!.out['median_s']! - 100, 6);
    expect(session('expert', [spoilt!, ...laps('expert')]).learning.verdict).toBe('cannot tell');
  });
});
