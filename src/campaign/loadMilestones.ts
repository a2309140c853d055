import { join } from 'node:path';
import type { Effects } from '../effects.ts';
import { nearestWord } from '../nearestWord.ts';
import type { Problem } from '../problem.ts';
import type { CampaignSetup } from '../read/campaignFile.ts';
import { listed } from '../read/listed.ts';
import { type MilestoneSetup, readMilestoneFile } from '../read/milestoneFile.ts';
import type { LoadedSession } from './load.ts';

interface Known {
  readonly campaign: CampaignSetup;
  readonly sessions: readonly LoadedSession[];
}

/** Reads the milestones of a content folder, by date, and checks what they name: target, sessions, runs. */
export async function loadMilestones(
  content: string,
  known: Known,
  effects: Effects,
): Promise<{ milestones: MilestoneSetup[]; problems: Problem[] }> {
  const milestones: MilestoneSetup[] = [];
  const problems: Problem[] = [];
  const home = join(content, 'milestones');
  for (const { name, folder } of await effects.list(home)) {
    if (folder || !name.endsWith('.md')) continue;
    const read = readMilestoneFile(await effects.text(join(home, name)), `milestones/${name}`);
    problems.push(...read.problems);
    if (!read.milestone) continue;
    milestones.push(read.milestone);
    problems.push(...ofTarget(read.milestone, known), ...ofEvidence(read.milestone, known));
  }
  const key = ({ date, id }: MilestoneSetup): string => `${date} ${id}`;
  return { milestones: milestones.sort((a, b) => (key(a) < key(b) ? -1 : 1)), problems };
}

function ofTarget({ file, target }: MilestoneSetup, { campaign }: Known): Problem[] {
  if (!('named' in target)) return [];
  const names = campaign.targets.map(({ name }) => name);
  if (names.includes(target.named)) return [];
  const near = nearestWord(target.named, names);
  return [
    {
      code: 'MILESTONE_TARGET',
      severity: 'stop',
      place: { file, key: 'target' },
      found: `\`${target.named}\``,
      expected: `a target of campaign.md: ${listed(names) || 'there is none'}`,
      remedy: near
        ? `perhaps \`${near}\``
        : 'correct the name, or write `{ gap: "5 s", due: 2026-03-31 }` in its place',
    },
  ];
}

function ofEvidence({ file, date, evidence }: MilestoneSetup, { campaign, sessions }: Known): Problem[] {
  return evidence.flatMap(({ session: id, run, line }): Problem[] => {
    const problem = (found: string, expected: string, remedy: string): Problem[] => [
      { code: 'MILESTONE_EVIDENCE', severity: 'stop', place: { file, line }, found, expected, remedy },
    ];
    const ids = sessions.map((s) => s.id);
    const home = sessions.find((s) => s.id === id);
    if (!home) {
      const near = nearestWord(id, ids);
      return problem(
        `the session \`${id}\``,
        'a session of the campaign',
        near ? `perhaps \`${near}\`` : 'correct the name; `gapbook check` lists the sessions',
      );
    }
    const { session } = home;
    if (!session) return [];
    if (session.date > date)
      return problem(
        `\`${id}\`, ridden on ${session.date}`,
        `a session up to ${date}, the date of the milestone`,
        'take it out, or correct `date:`',
      );
    if (campaign.riders[session.rider]?.kind === 'human')
      return problem(`\`${id}\`, ridden by a human`, 'a session of the robot', 'take it out');
    const runs = session.runs.map(({ files }) => files[0] ?? '');
    if (run !== null && !runs.includes(run)) {
      const near = nearestWord(run, runs);
      return problem(
        `the run \`${run}\` of \`${id}\``,
        `a run of that session: ${listed(runs)}`,
        near ? `perhaps \`${near}\`` : 'correct the name',
      );
    }
    return [];
  });
}
