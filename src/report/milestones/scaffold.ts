import { latestSession } from '../now.ts';
import type { Results } from '../readResults.ts';

/** YAML in double quotes. */
const quoted = (text: string): string => JSON.stringify(text);

/**
 * A first file of a milestone to edit: the next target that has no milestone, with the latest day on the track as evidence.
 *
 * @param name of the file, which becomes the title where no target is left
 */
export function milestoneScaffold(results: Results, name: string): string {
  const { campaign, sessions } = results;
  const taken = new Set(campaign.milestones.map((m) => m.target.name));
  const target = campaign.targets.find((t) => !taken.has(t.name));
  const session = latestSession(
    results,
    sessions.filter((s) => s.stage === 'track'),
  );
  const date = [target?.due, session?.date, campaign.asOf].find((day) => day)!.slice(0, 10);
  const reviewed = session && session.date > date ? session.date : date;
  return `---
title: ${quoted(target?.name ?? name)}
date: ${reviewed}              # day of the review; later sessions say nothing about it
target: ${target ? quoted(target.name) : `{ gap: "1 s", due: ${date} }`}
evidence: [${session ? session.session : ''}]   # sessions, or runs of them: 2026-01-08-track/run-01.csv; name them before they are ridden
risk: 0.05                    # greatest chance of a false pass
requires: { laps: 5, surface: dry, official: true }
sentences: []                 # of the brief, up to three in place of the computed ones; null keeps one
decisions:
  - What you need, one line each.
risks: []
limits: []
signatures:
  - { role: Lead engineer }
---
What was to be reached and how it went.
`;
}
