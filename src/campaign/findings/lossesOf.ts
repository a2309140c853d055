import { judge } from '../../statistics/judge.ts';
import { loss } from '../../statistics/loss.ts';
import { cornerKey, type Digest, LAP, PHASES, phaseKey } from './digest.ts';
import type { SessionFindings } from './schema.ts';
import { runsOf, systematicOf } from './sides.ts';
import { lossFound } from './written.ts';

/** Is there a loss in a session: over the lap, in each corner, in each phase. */
export function lossesOf(
  session: Digest,
  corners: readonly string[],
): Pick<SessionFindings, 'lap' | 'corners' | 'phases'> {
  const among = (keys: readonly string[]) =>
    judge(
      keys.map((key) => ({ key, before: [], after: runsOf([session], key), systematic: systematicOf(session, key) })),
    ).map((found) => lossFound(found.loss, found.lossQ));
  const atCorners = among(corners.map(cornerKey));
  const inPhases = among(PHASES.map(phaseKey));
  return {
    lap: lossFound(loss(runsOf([session], LAP), systematicOf(session, LAP))),
    corners: corners.map((corner, i) => ({ corner, ...atCorners[i]! })),
    phases: PHASES.map((phase, i) => ({ phase, ...inPhases[i]! })),
  };
}
