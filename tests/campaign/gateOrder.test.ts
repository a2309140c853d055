import { describe, expect, test } from 'vitest';
import { gateShut } from '../../src/campaign/gateOrder.ts';
import { loadCampaign } from '../../src/campaign/load.ts';
import { readCampaignFile } from '../../src/read/campaignFile.ts';
import type { StageGate } from '../../src/read/stageGates.ts';
import { gatesTable } from '../../src/report/milestones/gatesTable.ts';
import { even, made } from '../report/made.ts';
import { memory } from './memory.ts';

// What is expected is read off the dates and configurations below.

const gate: StageGate = {
  name: 'Rig to circuit',
  opens: 'track',
  sameAs: ['firmware'],
  criteria: [
    {
      name: 'Stop',
      value: 0.2,
      sd: 0.02,
      unit: 's',
      limit: 0.3,
      side: 'at most',
      evidence: '2026-01-05-rig',
      by: null,
    },
  ],
};
const on = (date: string, firmware: string) => ({ date, configuration: { firmware } });

describe('a gate is open for a session', () => {
  const records = [on('2026-01-05', '7'), on('2026-02-05', '8')];
  test('that comes after a record of the same configuration', () => {
    expect(gateShut(gate, on('2026-01-05', '7'), records)).toBeNull();
    expect(gateShut(gate, on('2026-03-01', '7'), records)).toBeNull();
  });
  test('and shut before it, or for another configuration', () => {
    expect(gateShut(gate, on('2026-01-04', '7'), records)).toEqual([]);
    expect(gateShut(gate, on('2026-02-01', '8'), records)).toEqual(['firmware']);
  });
});

test('sessions out of order are named, those of a human rider and of other stages are not', async () => {
  const session = (date: string, stage: string, firmware: string, controller = '"1"', more = '') =>
    `---\ndate: ${date}\nstage: ${stage}\ncircuit: ring\nrider: robot\ncontroller: ${controller}\nconfiguration: { firmware: "${firmware}" }\n${more}runs:\n  - file: run-01.csv\n---\n`;
  const files = {
    'c/campaign.md':
      '---\ntitle: C\nriders: { robot: { name: R, kind: robot } }\nstageGates:\n  - name: Rig to circuit\n    opens: track\n    sameAs: [firmware]\n    criteria:\n      - { name: Stop, value: "0.2 s", atMost: "0.3 s", evidence: 2026-01-05-rig }\n      - { name: Lost, value: "0.2 s", atMost: "0.3 s", evidence: 2026-01-06-rig }\n---\n',
    's/2026-01-01-track/session.md': session('2026-01-01', 'track', '7'),
    's/2026-01-02-human/session.md': session('2026-01-02', 'track', '7', 'null'),
    's/2026-01-05-rig/session.md': session('2026-01-05', 'bench', '7'),
    's/2026-01-07-track/session.md': session('2026-01-07', 'track', '7'),
    's/2026-01-08-track/session.md': session('2026-01-08', 'track', '8'),
    's/2026-01-09-track/session.md': session(
      '2026-01-09',
      'track',
      '8',
      '"1"',
      'accept: { GATE_ORDER: "walking pace only" }\n',
    ),
  };
  const { problems } = await loadCampaign({ content: 'c', sessions: 's' }, memory(files));
  const found = problems.filter((p) => p.code.startsWith('GATE')).map((p) => `${p.code} ${p.place.file}`);
  expect(found).toEqual([
    'GATE_EVIDENCE campaign.md',
    'GATE_ORDER 2026-01-01-track/session.md',
    'GATE_ORDER 2026-01-08-track/session.md',
    'GATE_ORDER 2026-01-09-track/session.md',
  ]);
  // Only the session that accepts it is marked, with its own reason.
  expect(problems.flatMap((p) => (p.code === 'GATE_ORDER' ? [p.accepted] : []))).toEqual([
    undefined,
    undefined,
    'walking pace only',
  ]);
  expect(problems.find((p) => p.place.file.startsWith('2026-01-08-track'))?.found).toContain('firmware 8');

  // An edition holds some of the sessions: there a name that is not among them is no mistake.
  const part = await loadCampaign({ content: 'c', sessions: 's' }, memory(files), true);
  expect(part.problems.filter((p) => p.code === 'GATE_EVIDENCE')).toEqual([]);
});

test('a criterion with two limits, or with another unit than its limit, is a mistake with its line', () => {
  const file = (criterion: string) =>
    readCampaignFile(
      `---\ntitle: C\nriders: {}\nstageGates:\n  - name: G\n    opens: track\n    criteria:\n      - ${criterion}\n---\n`,
      'campaign.md',
    ).problems;
  expect(file('{ name: A, value: "1 s", atMost: "2 s", atLeast: "0 s", evidence: x }')).toMatchObject([
    { code: 'VALUE_INVALID', place: { line: 8 } },
  ]);
  expect(file('{ name: A, value: "1 s", atMost: "200 ms", evidence: x }')[0]?.expected).toContain('one unit');
  expect(file('{ name: A, value: "1 s", atMost: "2 s", evidence: x }')).toEqual([]);
});

// 0.28 +- 0.02 against 0.3 is one standard deviation inside: 84.13 % by the table of the normal distribution.
test('the table judges each criterion by its latest record before that day', () => {
  const laps = [1, 1, 1].map((gapS) => ({ gaps: even(gapS) }));
  const results = made({
    sessions: [
      { name: '2026-01-05-rig', date: '2026-01-05', stage: 'bench', laps },
      { name: '2026-01-08-track', date: '2026-01-08', laps },
      { name: '2026-01-09-rig', date: '2026-01-09', stage: 'bench', laps },
    ],
    stageGates: [
      {
        ...gate,
        sameAs: [...gate.sameAs],
        criteria: [
          { ...gate.criteria[0]!, value: 0.28 },
          { ...gate.criteria[0]!, value: 0.5, evidence: '2026-01-09-rig' },
          { ...gate.criteria[0]!, name: 'Late', evidence: '2026-01-09-rig' },
        ],
      },
    ],
  });
  const table = gatesTable(results, results.session('2026-01-08-track')!, { csv: 'a', json: 'b' })!;
  expect(table.rows).toHaveLength(2);
  expect(table.rows[0]!.map((c) => c.text)).toEqual([
    'Stop',
    '0.28\u202fs',
    'at most 0.3\u202fs',
    'Met, not beyond doubt',
    '2026-01-05-rig',
    'holds',
  ]);
  expect(table.rows[0]![3]!.aside).toContain('84');
  expect(table.rows[1]![3]!.text).toBe('not recorded by then');
});
