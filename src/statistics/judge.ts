import { adjusted, FALSE_SHARE } from './adjusted.ts';
import { type Comparison, compare } from './compare.ts';
import { type Loss, loss } from './loss.ts';
import type { RunValues } from './runs.ts';

/** One thing that is looked at beside others: a corner, or a cause in a corner. */
export interface Looked {
  readonly key: string;
  readonly before: readonly RunValues[];
  readonly after: readonly RunValues[];
  /** See `loss`. */
  readonly systematic?: number;
}

export interface JudgedKey {
  readonly key: string;
  /** Is there a loss (in `after`)? */
  readonly loss: Loss;
  /** Did it change (from `before` to `after`)? */
  readonly change: Comparison;
  /** p values after Benjamini & Hochberg over all keys, one family for each of the two questions; NaN for too few. */
  readonly lossQ: number;
  readonly changeQ: number;
}

/**
 * Answers both questions for many corners or causes at once. A verdict stands only where it also holds among all the
 * others: at most a tenth of what is called a finding is false on average.
 */
export function judge(looked: readonly Looked[]): JudgedKey[] {
  const answers = looked.map(({ key, before, after, systematic }) => ({
    key,
    loss: loss(after, systematic),
    change: compare(before, after),
  }));
  const lossQ = adjusted(answers.map(({ loss: { p } }) => p));
  const changeQ = adjusted(answers.map(({ change: { p } }) => p));
  return answers.map((answer, i) => ({
    key: answer.key,
    loss: standing(answer.loss, lossQ[i]!),
    change: standing(answer.change, changeQ[i]!),
    lossQ: lossQ[i]!,
    changeQ: changeQ[i]!,
  }));
}

function standing<Answer extends Loss | Comparison>(answer: Answer, q: number): Answer {
  const found = answer.verdict === 'real' || answer.verdict === 'within these sessions only';
  return found && !(q <= FALSE_SHARE) ? { ...answer, verdict: 'cannot tell' } : answer;
}
