import { resolve } from 'node:path';
import { analyseCampaign } from '../campaign/analyseCampaign.ts';
import { loadCampaign } from '../campaign/load.ts';
import type { SessionResult } from '../campaign/results.ts';
import { asksForCauses } from '../report/notes/asksForCauses.ts';
import { lapTime } from '../report/words.ts';
import { type Command, FOLDER_OPTIONS, JSON_OPTION } from './command.ts';
import { allProblems, counted, say } from './said.ts';
import { toolVersion } from './toolVersion.ts';

/** `gapbook check`: reads everything, prints every problem and the verdict on every lap, writes nothing. */
export const check: Command = {
  name: 'check',
  usage: `gapbook check

Reads campaign, circuits, session files and logs, and prints every problem with its place, what was found,
what was expected and what to do; then each run's laps and why a lap does not count.
Exit status 1 where a problem of severity stop is not accepted in its session file.`,
  options: { ...FOLDER_OPTIONS, ...JSON_OPTION },
  async run(args, effects) {
    const loaded = await loadCampaign(
      { content: resolve(args.text('content') ?? ''), sessions: resolve(args.text('sessions') ?? '') },
      effects,
    );
    const sessions: SessionResult[] = [];
    const campaign = await analyseCampaign(
      loaded,
      { toolVersion: toolVersion(), asOf: null, keepMaps: false, causes: asksForCauses(loaded) },
      { session: async (result) => void sessions.push(result), campaign: async () => {} },
      effects,
    );
    const problems = allProblems(campaign, sessions);
    if (args.flag('json')) {
      effects.out(JSON.stringify(problems, null, 2));
      return say([], effects) || (problems.some((p) => p.severity === 'stop' && p.accepted === undefined) ? 1 : 0);
    }
    for (const session of sessions)
      for (const run of session.runs) {
        effects.out(`${session.session} / ${run.file}`);
        for (const lap of run.laps) {
          const time = lap.timeS === null ? 'not whole' : lapTime(lap.timeS);
          const verdict = lap.counted
            ? 'counts'
            : lap.valid
              ? `does not count: ${lap.capped ? `capped at ${lap.capped}` : lap.kind}`
              : 'not valid';
          effects.out(
            `  lap ${lap.lap}  ${lap.kind.padEnd(8)}  ${time.padStart(9)}  ${verdict}${lap.reasons.map((r) => `; ${r.text}`).join('')}`,
          );
        }
      }
    const status = say(problems, effects);
    effects.out(`${sessions.length} session(s): ${counted(problems)}`);
    return status;
  },
};
