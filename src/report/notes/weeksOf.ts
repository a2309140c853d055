import { weekOf } from '../../read/isoWeek.ts';
import type { Results } from '../readResults.ts';

/** Every week in which something was run or written, in order. */
export const weeksOf = ({ campaign, sessions }: Pick<Results, 'campaign' | 'sessions'>): readonly string[] =>
  [...new Set([...sessions.map((s) => weekOf(s.date).name), ...campaign.weeks.map((w) => w.week)])].sort();
