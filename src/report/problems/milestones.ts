import type { GuidePart, Sheet } from './guideOf.ts';

type Codes = 'MILESTONE_TARGET' | 'MILESTONE_EVIDENCE';

const milestone = (...keys: string[]): Sheet => ({
  file: 'milestones/first.md',
  text: `---\ntitle: First laps\ndate: 2026-01-31\n${keys.join('\n')}\n---\n`,
});
const NOT_ACCEPTED = 'Not possible: the file of the milestone is yours to correct.';

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
};
