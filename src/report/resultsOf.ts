import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { EditionRecord } from '../campaign/editions.ts';
import type { CampaignResult, LapCurves, SessionResult } from '../campaign/results.ts';
import { hasPage } from './hasPage.ts';
import { lapPath } from './paths.ts';
import type { LapOf, Results } from './readResults.ts';

/**
 * Results that are in memory, with the ways to find things in them.
 *
 * @param beside folder that the curves of laps lie in, none without it; the editions that were published
 */
export function resultsOf(
  campaign: CampaignResult,
  sessions: readonly SessionResult[],
  { folder = '', editions = [] }: { readonly folder?: string; readonly editions?: readonly EditionRecord[] } = {},
): Results {
  const paged = hasPage(campaign, sessions);
  const laps = (session: SessionResult): LapOf[] =>
    session.runs.flatMap((run) =>
      run.laps.map((lap) => ({
        session,
        run,
        lap,
        rider: campaign.riders[run.rider] ?? { name: run.rider, kind: 'robot' },
        speaks: lap.counted && run.rider === session.rider.key,
        page:
          (lap.ledger.length > 0 || lap.curves !== null) && paged(session, run, lap)
            ? lapPath(session.session, run.file, lap.lap)
            : null,
      })),
    );
  const session = (id: string): SessionResult | undefined => sessions.find((s) => s.session === id);
  return {
    folder,
    campaign,
    sessions,
    editions,
    circuit: (id) => campaign.circuits.find((c) => c.id === id),
    session,
    laps,
    lap: (name) => {
      const owner = session(name.session);
      return owner && laps(owner).find((l) => l.run.file === name.run && l.lap.lap === name.lap);
    },
    curves: ({ curves }) =>
      curves === null || folder === '' ? null : (JSON.parse(readFileSync(join(folder, curves), 'utf8')) as LapCurves),
  };
}
