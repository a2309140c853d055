import { briefPath, frontPath, milestonePath, tableLinks } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Table } from '../report.ts';
import { MISSING, number } from '../words.ts';
import { verdictOf } from './verdict.ts';
import { chanceWords, DIGITS, limitWords, verdictWord } from './words.ts';

/** The milestones of a campaign with their verdicts, latest first; null where none is written down. */
export function milestonesTable(results: Results): Table | null {
  const { milestones } = results.campaign;
  if (milestones.length === 0) return null;
  return {
    id: 'milestones-table',
    caption: 'Milestones, latest first; achieved with its 90\u202f% interval',
    columns: [
      { title: 'milestone', kind: 'text' },
      { title: 'due', kind: 'text' },
      { title: 'target', kind: 'number' },
      { title: 'achieved', unit: 's', kind: 'number' },
      { title: 'chance inside', kind: 'number' },
      { title: 'verdict', kind: 'text' },
      { title: 'brief', kind: 'text' },
    ],
    rows: milestones.toReversed().map((milestone): Cell[] => {
      const { limitS, level, interval, conformity, why } = verdictOf(results, milestone);
      return [
        { text: milestone.title, href: milestonePath(milestone.id) },
        { text: milestone.target.due ?? MISSING },
        { text: limitWords(limitS) },
        level && interval
          ? {
              text: number(level.value, DIGITS),
              aside: `${number(interval.low, DIGITS)} to ${number(interval.high, DIGITS)}`,
            }
          : { text: MISSING, tone: 'quiet' },
        { text: conformity ? chanceWords(conformity.chance) : MISSING },
        conformity ? { text: verdictWord(conformity.verdict) } : { text: `No verdict: ${why}`, tone: 'quiet' },
        { text: 'one page', href: briefPath(milestone.id) },
      ];
    }),
    ...tableLinks(frontPath, 'milestones'),
  };
}
