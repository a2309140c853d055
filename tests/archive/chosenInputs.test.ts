import { expect, test } from 'vitest';
import { chosenInputs } from '../../src/archive/chosenInputs.ts';
import { loadCampaign } from '../../src/campaign/load.ts';
import { memory } from '../campaign/memory.ts';

// What is expected is read off the dates and names below.

const session = (date: string, stage: string, rider = 'robot') =>
  `---\ndate: ${date}\nstage: ${stage}\ncircuit: ring\nrider: ${rider}\ncontroller: "1"\nruns:\n  - file: run-01.csv\n---\n`;
const rig = (evidence: string) => `{ name: Stop, value: "0.2 s", atMost: "0.3 s", evidence: ${evidence} }`;
const files = {
  'c/campaign.md': `---\ntitle: C\nriders: { robot: { name: R, kind: robot }, human: { name: H, kind: human } }\nreference: 2026-01-02-human\nstageGates:\n  - name: Rig to circuit\n    opens: track\n    criteria:\n      - ${rig('2026-01-04-rig')}\n      - ${rig('2026-01-05-rig')}\n      - ${rig('2026-03-05-rig')}\n---\n`,
  'c/milestones/first.md':
    '---\ntitle: First\ndate: 2026-02-10\ntarget: { gap: "5 s", due: 2026-02-10 }\nevidence: [2026-02-01-track]\n---\n',
  's/2026-01-02-human/session.md': session('2026-01-02', 'track', 'human'),
  's/2026-01-04-rig/session.md': session('2026-01-04', 'bench'),
  's/2026-01-05-rig/session.md': session('2026-01-05', 'bench'),
  's/2026-01-20-track/session.md': session('2026-01-20', 'track'),
  's/2026-02-01-track/session.md': session('2026-02-01', 'track'),
  's/2026-03-05-rig/session.md': session('2026-03-05', 'bench'),
};
const chosen = async (evidenceOnly: boolean): Promise<string[]> => {
  const loaded = await loadCampaign({ content: 'c', sessions: 's' }, memory(files));
  return chosenInputs(loaded, loaded.milestones[0]!, evidenceOnly).sessions.map(({ id }) => id);
};

test('an edition has what was known on its day', async () =>
  expect(await chosen(false)).toEqual([
    '2026-01-02-human',
    '2026-01-04-rig',
    '2026-01-05-rig',
    '2026-01-20-track',
    '2026-02-01-track',
  ]));

// Without the evidence of the gates its page would say that nothing had been recorded.
test('and of evidence alone: the milestone’s, its reference, and what the gates stood on', async () =>
  expect(await chosen(true)).toEqual(['2026-01-02-human', '2026-01-05-rig', '2026-02-01-track']));
