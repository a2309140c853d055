import { judge } from '../../statistics/judge.ts';
import { loss } from '../../statistics/loss.ts';
import { cornerKey, type Digest, groupKey, LAP, PHASES, phaseKey } from './digest.ts';
import type { SessionFindings } from './schema.ts';
import { groupsIn, runsOf, systematicOf } from './sides.ts';
import { lossFound } from './written.ts';

/** Is there a loss in a session: over the lap, in each corner, in each phase, by each group of causes. */
export function lossesOf(
  session: Digest,
  corners: readonly string[],
): Pick<SessionFindings, 'lap' | 'corners' | 'phases' | 'causes'> {
  const among = (keys: readonly string[]) =>
    judge(
      keys.map((key) => ({ key, before: [], after: runsOf([session], key), systematic: systematicOf(session, key) })),
    ).map((found) => lossFound(found.loss, found.lossQ));
  const atCorners = among(corners.map(cornerKey));
  const inPhases = among(PHASES.map(phaseKey));
  const groups = groupsIn([session]);
  const byCause = among(groups.map(groupKey));
  return {
    lap: lossFound(loss(runsOf([session], LAP), systematicOf(session, LAP))),
    corners: corners.map((corner, i) => ({ corner, ...atCorners[i]! })),
    phases: PHASES.map((phase, i) => ({ phase, ...inPhases[i]! })),
    causes: groups.map((group, i) => ({ group, ...byCause[i]! })),
  };
}
