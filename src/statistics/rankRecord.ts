import { mean } from '../numbers/moments.ts';
import { type Candidate, remaining } from './whatNext.ts';

export interface RankRecord {
  /** Sessions after which the rank was compared with what came. */
  readonly sessions: number;
  /** Mean over sessions of the loss that the best choice would have met, less that which the rank met, s. */
  readonly regretS: number | null;
  /** The same for ranking by the last session's loss. */
  readonly lastLossRegretS: number | null;
}

const FIRST = 3;
const LATER = 3;

/**
 * How well the rank of `whatNext` would have told, session by session, which losses the next sessions have, beside ranking
 * by the last session's loss.
 *
 * @param chosen how many of the first in the rank count
 * @returns nulls where there were too few sessions
 */
export function rankRecord(candidates: readonly Candidate[], chosen: number): RankRecord {
  const sessions = candidates[0]?.history.length ?? 0;
  const regrets: { rank: number; last: number }[] = [];
  for (let now = FIRST; now < sessions; now++) {
    const later = new Map(
      candidates.flatMap(({ key, history }) => {
        const met = history.slice(now, now + LATER).filter((v): v is number => v !== null);
        return met.length > 0 && history[now - 1] !== null ? [[key, mean(met)] as const] : [];
      }),
    );
    const past = candidates
      .filter(({ key }) => later.has(key))
      .map((c) => ({
        ...c,
        history: c.history.slice(0, now),
        ...(c.errors ? { errors: c.errors.slice(0, now) } : {}),
      }));
    if (past.length <= chosen) continue;
    const met = (keys: readonly string[]): number => keys.slice(0, chosen).reduce((s, key) => s + later.get(key)!, 0);
    const best = met([...later].sort((a, b) => b[1] - a[1]).map(([key]) => key));
    const rank = met(remaining(past).map(({ candidate }) => candidate.key));
    const last = met(past.toSorted((a, b) => b.history.at(-1)! - a.history.at(-1)!).map(({ key }) => key));
    regrets.push({ rank: best - rank, last: best - last });
  }
  const none = regrets.length === 0;
  return {
    sessions: regrets.length,
    regretS: none ? null : mean(regrets.map(({ rank }) => rank)),
    lastLossRegretS: none ? null : mean(regrets.map(({ last }) => last)),
  };
}
