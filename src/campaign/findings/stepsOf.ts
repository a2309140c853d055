import { type VersionedSession, versionSteps } from '../../statistics/versionSteps.ts';
import { conditionsOf, confoundersFound } from './conditionsOf.ts';
import { cornerKey, type Digest, LAP, PHASES, partKey } from './digest.ts';
import type { VersionStepFound } from './schema.ts';
import { medianOf, weeksOf } from './sides.ts';
import { whole } from './written.ts';

interface Part {
  readonly key: string;
  readonly corner: string | null;
  readonly phase: VersionStepFound['phase'];
}

/**
 * Steps in the lap, in each corner and in each phase of one, each of the three a family of its own among which a tenth of
 * what is found is false.
 *
 * @param sessions those that speak for the robot on the track, by date
 */
export function stepsOf(sessions: readonly Digest[], corners: readonly string[]): VersionStepFound[] {
  const families: Part[][] = [
    [{ key: LAP, corner: null, phase: null }],
    corners.map((corner) => ({ key: cornerKey(corner), corner, phase: null })),
    corners.flatMap((corner) => PHASES.map((phase) => ({ key: partKey(corner, phase), corner, phase }))),
  ];
  const first = sessions[0];
  if (!first) return [];
  const versioned = (parts: readonly Part[]): VersionedSession[] =>
    sessions.map((session) => ({
      session: session.session,
      weeks: weeksOf(session.date) - weeksOf(first.date),
      version: session.controller,
      conditions: conditionsOf(session),
      values: Object.fromEntries(parts.map(({ key }) => [key, medianOf(session, key)])),
    }));
  return families.flatMap((parts) =>
    versionSteps(
      versioned(parts),
      parts.map(({ key }) => key),
    ).map((step): VersionStepFound => {
      const { corner, phase } = parts.find(({ key }) => key === step.key)!;
      return {
        corner,
        phase,
        session: step.session,
        previous: step.previous,
        from: step.version?.from ?? null,
        to: step.version?.to ?? null,
        known: step.version !== null,
        sizeS: whole(step.size),
        lowS: whole(step.interval.low),
        highS: whole(step.interval.high),
        level: step.interval.level,
        p: whole(step.p),
        q: whole(step.q),
        confounders: confoundersFound(step.confounders),
      };
    }),
  );
}
