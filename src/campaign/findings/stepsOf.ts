import { type VersionedSession, versionSteps } from '../../statistics/versionSteps.ts';
import { conditionsOf, confoundersFound } from './conditionsOf.ts';
import { causeKey, cornerKey, type Digest, groupKey, LAP, PHASES, partKey } from './digest.ts';
import type { VersionStepFound } from './schema.ts';
import { groupsIn, medianOf, weeksOf } from './sides.ts';
import { whole } from './written.ts';

interface Part {
  readonly key: string;
  readonly corner: string | null;
  readonly phase?: VersionStepFound['phase'];
  readonly group?: VersionStepFound['group'];
}

/**
 * Steps in the lap, in each corner, in each phase of one and by each group of causes, over the lap and in a corner.
 * One chance of a false alarm for all of it, dealt out equally among the five.
 *
 * @param sessions those that speak for the robot on the track, by date
 */
export function stepsOf(sessions: readonly Digest[], corners: readonly string[]): VersionStepFound[] {
  // What is left over has no software that made it.
  const groups = groupsIn(sessions).filter((group) => group !== 'residual');
  const families: Part[][] = [
    [{ key: LAP, corner: null }],
    corners.map((corner) => ({ key: cornerKey(corner), corner })),
    corners.flatMap((corner) => PHASES.map((phase) => ({ key: partKey(corner, phase), corner, phase }))),
    groups.map((group) => ({ key: groupKey(group), corner: null, group })),
    corners.flatMap((corner) => groups.map((group) => ({ key: causeKey(corner, group), corner, group }))),
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
  const parts = families.flat();
  return versionSteps(
    versioned(parts),
    families.map((family) => family.map(({ key }) => key)),
  ).map((step): VersionStepFound => {
    const { corner, phase = null, group = null } = parts.find(({ key }) => key === step.key)!;
    return {
      corner,
      phase,
      group,
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
  });
}
