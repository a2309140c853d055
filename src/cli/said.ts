import type { CampaignResult, SessionResult } from '../campaign/results.ts';
import type { Effects } from '../effects.ts';
import { type Problem, problemText, stops } from '../problem.ts';
import { noteProblems } from '../report/notes/checkedNotes.ts';
import { resultsOf } from '../report/resultsOf.ts';
import type { ExitStatus } from './command.ts';

/** Every problem of a campaign: what a person wrote first, then session by session, then what notes say of the data. */
export function allProblems(campaign: CampaignResult, sessions: readonly SessionResult[]): Problem[] {
  return [
    campaign.problems,
    ...sessions.flatMap((s) => [s.problems, ...s.runs.map((run) => run.problems)]),
    noteProblems(resultsOf(campaign, sessions)),
  ].flat() as Problem[];
}

const ORDER = { stop: 0, warn: 1, note: 2 } as const;

/** Prints problems, the gravest first, and says by exit status whether one stops. */
export function say(problems: readonly Problem[], effects: Effects, least: keyof typeof ORDER = 'note'): ExitStatus {
  const shown = problems
    .filter((p) => ORDER[p.severity] <= ORDER[least])
    .toSorted((a, b) => ORDER[a.severity] - ORDER[b.severity]);
  for (const problem of shown) effects.err(problemText(problem));
  return problems.some(stops) ? 1 : 0;
}

/** `2 stop, 3 warn (1 accepted), 5 note`. */
export function counted(problems: readonly Problem[]): string {
  if (problems.length === 0) return 'no problem found';
  const parts = (['stop', 'warn', 'note'] as const).flatMap((severity) => {
    const of = problems.filter((p) => p.severity === severity);
    const accepted = of.filter((p) => p.accepted !== undefined).length;
    return of.length === 0 ? [] : [`${of.length} ${severity}${accepted > 0 ? ` (${accepted} accepted)` : ''}`];
  });
  return parts.join(', ');
}
