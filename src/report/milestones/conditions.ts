import { listWords, plural } from '../words.ts';
import type { Verdict } from './verdict.ts';

/** Something that the evidence had to be beside fast. */
export interface Condition {
  readonly asked: string;
  readonly found: string;
  readonly met: boolean;
}

/** What the milestone asked of its evidence, and what that is. */
export function conditionsOf({ milestone, laps, places }: Verdict): Condition[] {
  const { requires, target, date } = milestone;
  const out: Condition[] = [];
  if (requires.laps !== null)
    out.push({
      asked: `at least ${plural(requires.laps, 'lap')} that count`,
      found: plural(laps.length, 'lap'),
      met: laps.length >= requires.laps,
    });
  if (requires.surface !== null) {
    const surfaces = [...new Set(places.map(({ session }) => session.conditions['surface'] ?? 'not recorded'))].sort();
    out.push({
      asked: `a ${requires.surface} surface`,
      found: listWords(surfaces),
      met: surfaces.length === 1 && surfaces[0] === requires.surface,
    });
  }
  if (requires.official) {
    const timed = laps.filter((l) => l.timedBy === 'circuit').length;
    out.push({
      asked: 'the circuit’s own timing of every lap',
      found: timed === 0 ? 'none' : `${timed} of ${plural(laps.length, 'lap')}`,
      met: laps.length > 0 && timed === laps.length,
    });
  }
  if (target.due !== null) {
    const last = laps
      .map(({ session }) => session.date)
      .sort()
      .at(-1);
    const by = last ?? date;
    out.push({ asked: `ridden by ${target.due}`, found: by, met: by <= target.due });
  }
  return out;
}
