import type { VersionStepFound } from '../../campaign/findings/schema.ts';
import { GROUP_TITLES } from '../causes/names.ts';
import { cornerWords } from '../cells.ts';
import { percent, sentence, signed } from '../words.ts';
import { changeWords, confounderWords } from './verdictWords.ts';

/** What moved: `the whole lap`, `corner 3`, `braking of corner 3`, `entry in corner 3`, `entry over the lap`. */
export function stepPlace({ corner, phase, group }: Pick<VersionStepFound, 'corner' | 'phase' | 'group'>): string {
  if (group !== null) return `${GROUP_TITLES[group]} ${corner === null ? 'over the lap' : `in ${cornerWords(corner)}`}`;
  if (corner === null) return 'the whole lap';
  return phase === null ? cornerWords(corner) : `${phase} of ${cornerWords(corner)}`;
}

/** Which version brought it, or that none did. */
export const stepVersion = ({ known, from, to }: Pick<VersionStepFound, 'known' | 'from' | 'to'>): string =>
  known ? `${to ?? 'no version'} after ${from ?? 'no version'}` : 'no new version: unknown cause';

/** A step in one sentence. */
export function stepWords(step: VersionStepFound): string {
  const others = confounderWords(step.confounders);
  return `${sentence(stepPlace(step))}: a step of ${changeWords(step.sizeS)} (${percent(step.level)} interval ${signed(step.lowS, 2)} to ${signed(step.highS, 2)}\u202fs) at ${step.session}, ${stepVersion(step)}${others ? `; not ruled out: ${others}` : ''}.`;
}
