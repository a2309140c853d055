import type { Target } from '../read/campaignFile.ts';
import type { MilestoneSetup } from '../read/milestoneFile.ts';
import type { Milestone } from './results.ts';

/** A milestone as the results hold it, its target looked up among those of the campaign; null values where there is none. */
export function milestoneView({ target, ...own }: MilestoneSetup, targets: readonly Target[]): Milestone {
  const named = 'named' in target ? target.named : null;
  const found = 'named' in target ? targets.find((t) => t.name === target.named) : target;
  return {
    ...own,
    target: {
      name: named,
      due: found?.due ?? null,
      gapS: found?.gapS ?? null,
      lapTimeS: found?.lapTimeS ?? null,
    },
    evidence: [...own.evidence],
    requires: { ...own.requires },
    sentences: [...own.sentences],
    decisions: [...own.decisions],
    risks: [...own.risks],
    limits: [...own.limits],
    signatures: [...own.signatures],
  };
}
