import type { AlignedLap } from '../../src/align/alignLap.ts';
import { type FittedEnvelope, fitEnvelope } from '../../src/causes/fitEnvelope.ts';
import { type CauseOptions, lapCauses } from '../../src/causes/lapCauses.ts';
import type { LapCauses } from '../../src/causes/schema.ts';
import type { PhaseMap } from '../../src/circuit/phases.ts';
import { zonesOf } from '../../src/technique/proposePhases.ts';
import { commonRules, rulesOf, techniqueOf } from '../../src/technique/technique.ts';

/** Causes of a pair, joined as a session's analysis joins them. */
export function causesOf(
  lap: AlignedLap,
  reference: AlignedLap,
  map: PhaseMap,
  options: CauseOptions & { fitted?: FittedEnvelope } = {},
): LapCauses {
  const zones = zonesOf(map);
  const rules = commonRules(rulesOf(lap), rulesOf(reference));
  const causes = lapCauses(
    lap,
    reference,
    map,
    techniqueOf(lap, zones, rules),
    techniqueOf(reference, zones, rules),
    options.fitted ?? fitEnvelope([reference, lap])!,
    options,
  );
  if (!causes) throw new Error('no causes');
  return causes;
}

/** Seconds by group over the lap. */
export function byGroup(causes: LapCauses): Record<string, number> {
  return Object.fromEntries(causes.groups.map(({ group, gapS }) => [group, gapS]));
}
