import { describe, expect, test } from 'vitest';
import type { CauseWindow, LapCauses } from '../../src/causes/schema.ts';
import { bridgeFigure } from '../../src/report/causes/bridgeFigure.ts';
import { cornerCauses } from '../../src/report/causes/cornerCauses.ts';
import { finding } from '../../src/report/causes/finding.ts';
import { rankedCauses } from '../../src/report/causes/rankedCauses.ts';
import { isNoise, toldOf, toldOfLap } from '../../src/report/causes/told.ts';
import { made as campaign } from './made.ts';

// Expected words and sums are worked out by hand from the made numbers.
const made = (gapS: number, half = 0.02) => ({
  gapS,
  lowS: gapS - half,
  highS: gapS + half,
  madeS: gapS,
  madeLowS: gapS - half,
  madeHighS: gapS + half,
});

const corner = (refused?: 'not separable'): CauseWindow => ({
  corner: '4',
  part: null,
  fromM: 0,
  toM: 300,
  gapS: 0.41,
  lengthS: 0.02,
  speedS: 0.39,
  mode: 'braked',
  flags: [],
  groups: [
    { group: 'line', ...made(0.05) },
    { group: 'entry', ...made(0.33) },
    { group: 'exit', ...made(0.03, 0.05) },
  ],
  causes: [
    { cause: 'lineLength', ...made(0.05), fact: { longerM: 1.24 } },
    { cause: 'onset', ...made(0.18), fact: { earlyM: 12.3 }, ...(refused ? { refused } : {}) },
    { cause: 'intensity', ...made(0.15), fact: { decelerationMps2: 9.80665 * 0.9, referenceMps2: 9.80665 * 1.1 } },
    { cause: 'pickUp', ...made(0.03, 0.05), fact: { lateM: 1 } },
  ],
  cancellation: 1,
  illConditioned: false,
  together: [],
  mixtureS: new Array(16).fill(1),
  mixtureLaterS: new Array(16).fill(0),
});

const lap = (window: CauseWindow): LapCauses => ({
  gapS: 0.41,
  windows: [window],
  groups: window.groups.map(({ group, gapS, lowS, highS }) => ({ group, gapS, lowS, highS })),
  causes: window.causes.map(({ cause, gapS, lowS, highS }) => ({
    cause,
    group: ({ lineLength: 'line', onset: 'entry', intensity: 'entry', pickUp: 'exit' } as const)[cause as 'onset'],
    gapS,
    lowS,
    highS,
  })),
  untold: [],
  draws: 20,
});
const links = { csv: 'x.csv', json: 'x.json' };
const options = { number: 2, from: 'reference', to: 'lap', whose: '', source: [], doubts: [], links };

describe('what causes say', () => {
  test('a group whose members are not told apart stands for them', () => {
    expect(toldOf(corner()).map(({ key }) => key)).toEqual(['lineLength', 'onset', 'intensity', 'pickUp']);
    const told = toldOf(corner('not separable'));
    expect(told.map(({ key }) => key)).toEqual(['lineLength', 'entry', 'pickUp']);
    expect(told.find(({ group }) => group === 'entry')).toMatchObject({ gapS: 0.33, why: 'not separable' });
    expect(toldOfLap(lap(corner('not separable'))).map(({ key }) => key)).toContain('entry');
  });

  test('how a corner had to be taken stands under the table', () => {
    const windows = [
      { ...corner(), flags: ['two apexes'] as const },
      { ...corner(), corner: '7', flags: ['two apexes', 'one brakes'] as const },
    ].map((window) => ({ ...window, flags: [...window.flags] }));
    const { note } = cornerCauses({ ...lap(corner()), windows }, 'ring', links);
    expect(note).toContain('Corners 4 and 7: taken as one corner with two apexes.');
    expect(note).toContain('Corner 7: only one of the two brakes.');
    expect(note).not.toContain('nobody brakes');
  });

  test('how far another rule of sharing comes from the table stands under it, with the corner', () => {
    const windows = [
      { ...corner(), otherRuleApartS: 0.004 },
      { ...corner(), corner: '7', otherRuleApartS: 0.0123 },
    ];
    expect(cornerCauses({ ...lap(corner()), windows }, 'ring', links).note).toContain(
      'counted by another rule too (Aumann–Shapley): at most 0.012\u202fs apart, in corner 7.',
    );
    expect(cornerCauses(lap(corner()), 'ring', links).note).not.toContain('another rule');
  });

  test('an interval that reaches zero is noise', () => {
    expect(isNoise({ gapS: 0.03, lowS: -0.02, highS: 0.08 })).toBe(true);
    expect(isNoise({ gapS: 0.03, lowS: 0.01, highS: 0.05 })).toBe(false);
    expect(isNoise({ gapS: 0.03, lowS: null, highS: null })).toBe(false);
  });

  test('sentences say what was done otherwise, and nothing where it goes against the seconds', () => {
    expect(finding({ key: 'onset', fact: { earlyM: 12.3 }, gapS: 0.18 })).toBe(
      'brakes 12\u202fm early at equal deceleration',
    );
    expect(finding({ key: 'onset', fact: { earlyM: 12.3 }, gapS: -0.18 })).toBeNull();
    expect(finding({ key: 'onset', fact: { earlyM: -3.2 }, gapS: -0.05 })).toBe(
      'brakes 3\u202fm late at equal deceleration',
    );
    expect(finding({ key: 'pickUp', fact: { lateM: 4.87 }, gapS: 0.1 })).toBe('picks up 4.9\u202fm later');
    expect(finding({ key: 'entry', fact: null, gapS: 0.1 })).toBeNull();
  });

  test('the figure’s steps add up to the gap and name the largest cause', () => {
    const figure = bridgeFigure(lap(corner()), options);
    expect(figure.caption).toContain('Brake timing costs most, 0.18 ±\u202f0.02\u202fs of a gap of +0.41\u202fs');
    const values = figure.table.rows.map(([, value]) => Number(value!.text.replace('−', '-').replace('+', '')));
    expect(values.reduce((sum, v) => sum + v, 0)).toBeCloseTo(0.41, 9);
    for (const drawn of figure.drawings) expect(drawn).not.toContain('NaN');
  });

  test('a corner’s row adds up and ends in what differed most', () => {
    const [row] = cornerCauses(lap(corner()), 'c', links).rows;
    const numbers = row!.slice(1, 6).map(({ text }) => Number(text.replace('−', '-').replace('+', '')));
    expect(numbers.reduce((sum, v) => sum + v, 0)).toBeCloseTo(0.41, 9);
    expect(row!.at(-1)!.text).toBe(
      'Brakes 12\u202fm early at equal deceleration (0.18 ±\u202f0.02\u202fs); brakes at 0.90\u202fg where the reference brakes at 1.10\u202fg (0.15 ±\u202f0.02\u202fs).',
    );
  });

  test('what is left to find is listed by corner and group of causes, with what differed in it', () => {
    const results = campaign({ sessions: [{ name: '2026-01-08-track', date: '2026-01-08', laps: [{}, {}, {}] }] });
    const session = results.sessions.at(-1)!;
    for (const { lap: of } of results.laps(session)) of.causes = lap(corner());
    const rows = rankedCauses(results, session, 5, 'group')!.rows.map((row) => row.map(({ text }) => text));
    expect(rows).toEqual([
      [
        'Entry, corner 4',
        '0.33',
        '0.33 to 0.33',
        '3 of 3',
        'brakes 12\u202fm early at equal deceleration; brakes at 0.90\u202fg where the reference brakes at 1.10\u202fg',
      ],
      ['Line, corner 4', '0.05', '0.05 to 0.05', '3 of 3', 'rides 1.2\u202fm further'],
      ['Exit, corner 4', '0.03', '0.03 to 0.03', '3 of 3', 'picks up 1.0\u202fm later'],
    ]);
    for (const { lap: of } of results.laps(session)) of.causes = lap(corner('not separable'));
    expect(rankedCauses(results, session, 5, 'group')!.rows[0]!.at(-1)!.text).toBe('parts not separable');
  });
});
