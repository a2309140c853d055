import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { loadCampaign } from '../../src/campaign/load.ts';
import { readMilestoneFile } from '../../src/read/milestoneFile.ts';
import { memory } from '../campaign/memory.ts';

// Expected values are read off the texts below.

const FILE = 'milestones/first.md';
const whole = `---
title: First
date: 2026-01-31
target: { gap: "1500 ms", due: 2026-01-30 }
evidence:
  - 2026-01-08-track
  - 2026-01-09-track/run-02.csv
  - 2026-01-09-track/run-01.csv/3
risk: 0.1
requires: { laps: 4, official: true }
sentences:
  - null
  - The second.
decisions: [Ride again]
signatures:
  - { role: Lead engineer, date: 2026-02-01 }
---

What happened.
`;
const read = (text: string) => readMilestoneFile(text, FILE);
const head = (...keys: string[]) => `---\ntitle: First\ndate: 2026-01-31\n${keys.join('\n')}\n---\n`;

test('every key of a milestone is read, with the line that it stands on', () => {
  const { milestone, problems } = read(whole);
  expect(problems).toEqual([]);
  expect(milestone).toMatchObject({
    id: 'first',
    title: 'First',
    date: '2026-01-31',
    target: { gapS: 1.5, lapTimeS: null, due: '2026-01-30' },
    risk: 0.1,
    requires: { laps: 4, official: true, surface: null },
    sentences: [null, { text: 'The second.', line: 13 }],
    decisions: [{ text: 'Ride again', line: 14 }],
    signatures: [{ role: 'Lead engineer', name: null, date: '2026-02-01' }],
    text: 'What happened.',
    line: 19,
  });
  expect(milestone?.evidence).toEqual([
    { session: '2026-01-08-track', run: null, lap: null, line: 6 },
    { session: '2026-01-09-track', run: 'run-02.csv', lap: null, line: 7 },
    { session: '2026-01-09-track', run: 'run-01.csv', lap: 3, line: 8 },
  ]);
});

test('a milestone needs a title, a date and a target, and takes one false pass in twenty where nothing is said', () => {
  expect(read(head('target: Soon')).milestone).toMatchObject({ target: { named: 'Soon' }, risk: 0.05, evidence: [] });
  expect(read('---\ntitle: First\n---\n').problems.map((p) => p.place.key)).toEqual(['date', 'target']);
});

describe('a mistake is named with its line and what was expected', () => {
  test.each([
    ['a misspelt key', head('target: Soon', 'descisions: [x]'), 'KEY_UNKNOWN', 5, /decisions/],
    ['a target with both kinds', head('target: { gap: "1 s", lapTime: "1:30" }'), 'VALUE_INVALID', 4, /either/],
    ['a target with neither', head('target: { due: 2026-01-31 }'), 'VALUE_INVALID', 4, /either/],
    ['a risk of certainty', head('target: Soon', 'risk: 0.9'), 'VALUE_INVALID', 5, /0\.5/],
    ['a fourth sentence', head('target: Soon', 'sentences: [a, b, c, d]'), 'VALUE_INVALID', 5, /three/],
    [
      'a day that the calendar does not write',
      '---\ntitle: A\ndate: 31.1.2026\ntarget: B\n---\n',
      'VALUE_INVALID',
      3,
      /date/,
    ],
    ['no front matter', 'We did it.\n', 'FRONT_MATTER', 1, /title/],
  ])('%s', (_, text, code, line, words) => {
    const { problems } = read(text);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({ code, place: { file: FILE, line } });
    expect(`${problems[0]!.expected} ${problems[0]!.remedy}`).toMatch(words);
  });

  test('a name that cannot stand in an address', () => {
    expect(readMilestoneFile(head('target: Soon'), 'milestones/at last!.md').problems[0]).toMatchObject({
      found: '`at last!`',
    });
  });
});

describe('what a milestone names is looked for in the campaign', () => {
  const session = (rider: string, date = '2026-01-08') =>
    `---\ndate: ${date}\nstage: track\ncircuit: ring\nrider: ${rider}\nruns:\n  - file: run-01.csv\n---\n`;
  const problemsOf = async (milestone: string) => {
    const files = {
      'c/campaign.md':
        '---\ntitle: C\nriders: { robot: { name: R, kind: robot }, human: { name: H, kind: human } }\ntargets: [{ name: Under five, gap: "5 s" }]\n---\n',
      'c/milestones/first.md': milestone,
      's/2026-01-08-track/session.md': session('robot'),
      's/2026-01-09-human/session.md': session('human', '2026-01-09'),
      's/2026-02-08-track/session.md': session('robot', '2026-02-08'),
    };
    const { problems } = await loadCampaign({ content: 'c', sessions: 's' }, memory(files));
    return problems.filter((p) => p.code.startsWith('MILESTONE'));
  };

  test.each([
    ['an unknown target', head('target: Under fve'), 'MILESTONE_TARGET', 'perhaps `Under five`'],
    [
      'an unknown session',
      head('target: Under five', 'evidence: [2026-01-08-trak]'),
      'MILESTONE_EVIDENCE',
      'perhaps `2026-01-08-track`',
    ],
    [
      'an unknown run',
      head('target: Under five', 'evidence: [2026-01-08-track/run-1.csv]'),
      'MILESTONE_EVIDENCE',
      'perhaps `run-01.csv`',
    ],
    [
      'a session of a human',
      head('target: Under five', 'evidence: [2026-01-09-human]'),
      'MILESTONE_EVIDENCE',
      'take it out',
    ],
    [
      'a session after the milestone',
      head('target: Under five', 'evidence: [2026-02-08-track]'),
      'MILESTONE_EVIDENCE',
      'take it out, or correct `date:`',
    ],
  ])('%s', async (_, text, code, remedy) => {
    expect(await problemsOf(text)).toMatchObject([{ code, remedy, place: { file: FILE } }]);
  });

  test('what is there is no problem', async () => {
    expect(await problemsOf(head('target: Under five', 'evidence: [2026-01-08-track/run-01.csv/1]'))).toEqual([]);
  });
});

test('the milestones of the demo are read without a problem', () => {
  const folder = new URL('../../content/milestones/', import.meta.url);
  const files = readdirSync(folder).sort();
  expect(files).toHaveLength(3);
  for (const name of files) {
    const { milestone, problems } = readMilestoneFile(
      readFileSync(new URL(name, folder), 'utf8'),
      `milestones/${name}`,
    );
    expect(problems).toEqual([]);
    expect(milestone?.evidence.length).toBeGreaterThan(0);
  }
});
