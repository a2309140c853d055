import { describe, expect, test } from 'vitest';
import type { EditionRecord } from '../../../src/campaign/editions.ts';
import type { Milestone } from '../../../src/campaign/results.ts';
import { readMilestoneFile } from '../../../src/read/milestoneFile.ts';
import { briefReport } from '../../../src/report/milestones/brief.ts';
import { interventions } from '../../../src/report/milestones/interventions.ts';
import { milestoneReport } from '../../../src/report/milestones/milestoneReport.ts';
import { milestonesTable } from '../../../src/report/milestones/milestonesTable.ts';
import { milestoneScaffold } from '../../../src/report/milestones/scaffold.ts';
import { verdictOf } from '../../../src/report/milestones/verdict.ts';
import type { Results } from '../../../src/report/readResults.ts';
import { even, made } from '../made.ts';

const milestone = (own: Partial<Milestone> = {}): Milestone => ({
  id: 'first',
  file: 'milestones/first.md',
  title: 'First',
  date: '2026-01-31',
  target: { name: null, due: '2026-01-31', gapS: 2, lapTimeS: null },
  evidence: [{ session: '2026-01-08-track', run: null, lap: null, line: 4 }],
  risk: 0.05,
  requires: { laps: null, official: false, surface: null },
  sentences: [],
  decisions: [],
  risks: [],
  limits: [],
  signatures: [],
  text: '',
  line: 1,
  ...own,
});
const laps = (...gaps: number[]) => gaps.map((gapS) => ({ gaps: even(gapS) }));
const campaign = (
  gaps: readonly number[],
  own: Partial<Milestone> = {},
  more: Partial<Parameters<typeof made>[0]> = {},
): Results =>
  made({
    sessions: [
      { name: '2026-01-08-track', date: '2026-01-08', laps: laps(...gaps) },
      { name: '2026-02-08-track', date: '2026-02-08', laps: laps(0.1, 0.1, 0.1) },
    ],
    milestones: [milestone(own)],
    ...more,
  });
const judge = (results: Results) => verdictOf(results, results.campaign.milestones[0]!);

describe('a milestone is held against its evidence', () => {
  // SciPy: median 1.5; sqrt(pi / 2) * stdev([1.4, 1.5, 1.6, 1.5, 1.5]) / sqrt(5) = 0.039633; t.ppf(0.95, 4) = 2.131847.
  test('laps well inside the target meet it, by a guard band that the laps’ scatter sets', () => {
    const found = judge(campaign([1.4, 1.5, 1.6, 1.5, 1.5]));
    expect(found.level?.value).toBeCloseTo(1.5, 9);
    expect(found.conformity?.verdict).toBe('met');
    expect(found.conformity?.guard).toBeCloseTo(2.131847 * 0.039633, 2);
  });

  test.each([
    ['met, not beyond doubt', [1.7, 1.98, 2.2]],
    ['missed, not beyond doubt', [1.8, 2.02, 2.3]],
    ['missed', [2.9, 3, 3.1]],
  ])('%s', (verdict, gaps) => {
    expect(judge(campaign(gaps)).conformity?.verdict).toBe(verdict);
  });

  test('a best lap inside does not make up for a median outside', () => {
    const results = campaign([1.2, 3, 3.1, 3, 3.05]);
    expect(judge(results).conformity?.verdict).toMatch(/^missed/);
    expect(milestoneReport(results, 'first').headline).toMatch(/^Not met/);
  });

  test('a target in lap time is turned into a gap by the reference lap of 60 s', () => {
    const target = { name: null, due: null, gapS: null, lapTimeS: 61.5 };
    expect(judge(campaign([1, 1.1, 1.2], { target })).limitS).toBeCloseTo(1.5, 9);
  });

  test('without named evidence the latest day on the track up to the milestone stands in, and the page says so', () => {
    const results = campaign([1, 1.1, 1.2], { evidence: [] });
    expect(judge(results)).toMatchObject({ named: false, session: { session: '2026-01-08-track' } });
    expect(milestoneReport(results, 'first').limits.join(' ')).toContain('Nobody named the evidence');
  });
});

describe('where there can be no verdict the page says why', () => {
  const why = (results: Results) => {
    const report = milestoneReport(results, 'first');
    expect(report.headline).toBe('First: no verdict');
    expect(
      milestonesTable(results)!
        .rows[0]!.map((c) => c.text)
        .join(' '),
    ).toContain('No verdict');
    expect(briefReport(results, 'first').sentences).toHaveLength(3);
    return report.opening;
  };

  test('two laps', () => expect(why(campaign([1, 1.1]))).toContain('too few'));
  test('laps of the simulation', () =>
    expect(
      why(
        campaign(
          [],
          {},
          {
            sessions: [{ name: '2026-01-08-track', date: '2026-01-08', stage: 'simulation', laps: laps(1, 1, 1) }],
          },
        ),
      ),
    ).toContain('only laps ridden on the circuit count'));
  test('an unknown target', () =>
    expect(why(campaign([1, 1, 1], { target: { name: 'x', due: null, gapS: null, lapTimeS: null } }))).toContain(
      'no target “x”',
    ));
  test('evidence that came later or is not there', () =>
    expect(
      why(campaign([1, 1, 1], { evidence: [{ session: '2026-02-08-track', run: null, lap: null, line: 4 }] })),
    ).toContain('no session'));
  test('no reference', () => expect(why(campaign([1, 1, 1], {}, { reference: false }))).toContain('no verdict'));
});

test('a condition that was not kept stands in the opening', () => {
  const results = campaign([1, 1.1, 1.2], { requires: { laps: 5, official: true, surface: null } });
  const { opening, conditions } = milestoneReport(results, 'first');
  expect(opening).toContain('2 conditions are not kept');
  expect(conditions?.rows.map((row) => row[2]?.text)).toEqual(['no', 'no', 'yes']);
});

test('a brief has at most five numbers and three sentences, and what somebody wrote goes before what is computed', () => {
  const results = campaign([1, 1.1, 1.2], {
    sentences: [null, { text: 'Ours **alone**.', line: 9 }],
    decisions: [1, 2, 3, 4, 5, 6].map((i) => ({ text: `Decision ${i}`, line: i })),
  });
  const { numbers, sentences, decisions, more } = briefReport(results, 'first');
  expect(numbers.length).toBeGreaterThan(2);
  expect(numbers.length).toBeLessThanOrEqual(5);
  expect(sentences).toHaveLength(3);
  expect(sentences[0]).toMatch(/^Over 3 laps on 2026-01-08/);
  expect(JSON.stringify(sentences[1])).toContain('<strong>alone</strong>');
  expect(decisions).toHaveLength(4);
  expect(more.decisions).toBe(2);
});

test('a week without a comparable session has a brief as well', () => {
  const results = made({ sessions: [{ name: '2026-01-08-track', date: '2026-01-08', laps: [{ invalid: 'x' }] }] });
  const { headline, sentences } = briefReport(results, '2026-W02');
  expect(headline).toBe('Nothing was ridden that compares');
  expect(sentences).toHaveLength(3);
});

// Garwood's limits by scipy.stats.chi2: none seen has 0 to 2.9957 at 90 %.
test('no intervention in some kilometres is no proof of none', () => {
  const found = interventions(campaign([1, 1, 1]), '', '2026-12-31')!;
  expect(found.count).toBe(0);
  expect((found.high * found.distanceM) / 100_000).toBeCloseTo(2.99573227, 6);
});

test('the first file of a milestone is one that is read without a problem', () => {
  const targets = [{ name: 'Two', due: null, gapS: 2, lapTimeS: null }];
  const text = milestoneScaffold(campaign([1, 1.1, 1.2], {}, { targets }), 'next');
  const { milestone: read, problems } = readMilestoneFile(text, 'milestones/next.md');
  expect(problems).toEqual([]);
  expect(read).toMatchObject({ title: 'Two', target: { named: 'Two' }, evidence: [{ session: '2026-02-08-track' }] });
  const none = readMilestoneFile(milestoneScaffold(campaign([1, 1.1, 1.2]), 'next'), 'milestones/next.md');
  expect(none.problems).toEqual([]);
});

test('a milestone lists its own editions, each with its report and the list that it is checked by', () => {
  const edition = (of: string, number: number): EditionRecord => ({
    milestone: of,
    title: 'First',
    number,
    asOf: `2026-02-0${number}`,
    tool: '1.0.0',
    node: '24.0.0',
    code: 'c',
    method: 1,
    schema: 1,
    fingerprint: `f${number}`,
    bytes: 1,
    files: 1,
    logs: number === 1,
    withheld: [],
    settings: '',
    sessions: [],
    data: {},
    notes: {},
    figures: { laps: 3, medianS: 61.5, bestS: 61.4, medianGapS: 1.5, bestGapS: 1.4, cells: [] },
  });
  const none = campaign([1.5, 1.5, 1.5]);
  expect(milestoneReport(none, 'first').editions).toBeNull();
  const editions = [edition('first', 1), edition('second', 1), edition('first', 2)];
  const { rows } = milestoneReport({ ...none, editions }, 'first').editions!;
  expect(rows.map((row) => row.map(({ text }) => text))).toEqual([
    ['edition 1', '2026-02-01', '+1.500', 'inside', 'tagmanifest-sha512.txt', 'f1'],
    ['edition 2', '2026-02-02', '+1.500', 'kept elsewhere', 'tagmanifest-sha512.txt', 'f2'],
  ]);
  expect(rows[1]!.flatMap(({ href }) => href ?? [])).toEqual([
    'editions/first/2/index.html',
    'editions/first/2-checksums/tagmanifest-sha512.txt',
  ]);
});
