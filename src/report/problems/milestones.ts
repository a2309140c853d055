import type { GuidePart, Sheet } from './guideOf.ts';
import { session } from './sheets.ts';

type Codes = 'MILESTONE_TARGET' | 'MILESTONE_EVIDENCE' | 'GATE_EVIDENCE' | 'GATE_ORDER';

const milestone = (...keys: string[]): Sheet => ({
  file: 'milestones/first.md',
  text: `---\ntitle: First laps\ndate: 2026-01-31\n${keys.join('\n')}\n---\n`,
});
const NOT_ACCEPTED = 'Not possible: the file of the milestone is yours to correct.';

const campaign = (evidence: string): Sheet => ({
  file: 'campaign.md',
  text: `---
title: Example
riders:
  robot: { name: Robot, kind: robot }
  reference: { name: Reference rider, kind: human }
reference: 2026-01-05-reference
stageGates:
  - name: Rig to circuit
    opens: track
    sameAs: [firmware]
    criteria:
      - { name: Stop button, value: "0.2 s", atMost: "0.3 s", evidence: ${evidence} }
---
`,
});

/** What a file of a milestone names. */
export const MILESTONES: GuidePart<Codes> = {
  MILESTONE_TARGET: {
    severities: ['stop'],
    meaning:
      'A milestone says what was to be reached by naming a target of `campaign.md`, and there is no target of that name.',
    cost: 'The milestone has no verdict. Its page says so and shows the evidence without one.',
    before: [milestone('target: Within a minute')],
    cure: 'Write the name as it stands under `targets:` in `campaign.md`, or give the target here: `gap:` in seconds behind the reference, or `lapTime:`, and `due:`.',
    after: [milestone('target: { gap: "60 s", due: 2026-01-31 }')],
    acceptable: false,
    accept: NOT_ACCEPTED,
  },
  MILESTONE_EVIDENCE: {
    severities: ['stop'],
    meaning:
      'The verdict on a milestone stands on the sessions and runs under `evidence:`. One of them does not exist, was ridden after the date of the milestone, or was ridden by a human.',
    cost: 'That evidence is left out. The verdict is given on what is left, and there is none where nothing is.',
    before: [milestone('target: { gap: "60 s" }', 'evidence: [2026-01-09-track]')],
    cure: 'Name sessions by their folders, runs by their first file: `2026-01-08-track/run-01.csv`. What was ridden later belongs to a later milestone.',
    after: [milestone('target: { gap: "60 s" }', 'evidence: [2026-01-08-track]')],
    acceptable: false,
    accept: NOT_ACCEPTED,
  },
  GATE_EVIDENCE: {
    severities: ['stop'],
    meaning:
      'A criterion under `stageGates:` of `campaign.md` says which session it was measured in, and there is no such session.',
    cost: 'The criterion counts as not recorded.',
    before: [campaign('2026-01-06-rig')],
    cure: 'Write the session as its folder is called.',
    after: [campaign('2026-01-08-track')],
    acceptable: false,
    accept: 'Not possible: the record is yours to correct.',
  },
  GATE_ORDER: {
    severities: ['warn'],
    meaning:
      'A stage was entered before its gate was passed: nothing under `stageGates:` had been recorded by then, or what was recorded is of another configuration in one of the keys under `sameAs:`.',
    cost: 'Nothing is left out. The page of the milestone shows the record as expired or missing for that session.',
    before: [
      campaign('2026-01-05-reference'),
      session({ controller: '"0.3.0"', date: '2026-01-04', position: '{ antenna: [0, 0, 0], sigma: "0.03 m" }' }),
    ],
    cure: 'Record what was shown, or show it before the next day at that stage. What was ridden stays ridden.',
    after: [
      campaign('2026-01-05-reference'),
      session({ controller: '"0.3.0"', position: '{ antenna: [0, 0, 0], sigma: "0.03 m" }' }),
    ],
    acceptable: true,
    accept:
      'Reasonable where whoever may allow such a day has allowed it, and the reason says who and why. The milestone still shows the record as expired or missing, for the review to judge.',
  },
};
