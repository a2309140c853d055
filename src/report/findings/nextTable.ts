import type { CircuitFindings } from '../../campaign/findings/schema.ts';
import { GROUP_TITLES } from '../causes/names.ts';
import { cornerWords } from '../cells.ts';
import { cornerPath, progressPath, slug, tableLinks } from '../paths.ts';
import type { Cell, Table } from '../report.ts';
import { number, percent, plural, seconds, signed, Z_90 } from '../words.ts';

const LETTER = { braking: 'B', apex: 'A', drive: 'D' } as const;
const PLACE = { braking: 'braking for', apex: 'apex of', drive: 'drive out of' } as const;

/** Losses that round to nothing are not worked on, s. */
const LEAST_S = 0.005;

/** Whole percent, never quite none or all. */
export const chanceWords = (p: number): string =>
  p > 0.99 ? `over ${percent(0.99)}` : p < 0.01 ? `under ${percent(0.01)}` : percent(p);

/** `braking for corner 3`. */
export const nextWords = ({ corner, phase }: Pick<CircuitFindings['next'][number], 'corner' | 'phase'>): string =>
  `${PLACE[phase]} ${cornerWords(corner)}`;

/** Losses by corner and phase to work on, largest expected gain first; null where nothing is left or nothing is known. */
export function nextTable(found: CircuitFindings, most: number): Table | null {
  return tableOf(found, most, {
    id: 'next',
    list: found.next,
    by: 'phase',
    record: found.rankRecord,
    where: (item) => ({ text: nextWords(item), phase: LETTER[item.phase] }),
    note: 'Each loss from all sessions together, drawn towards the others by as much as it is doubtful.',
  });
}

/** The same losses by group of causes; null also where no lap was split by cause. */
export function nextByCauseTable(found: CircuitFindings, most: number): Table | null {
  return tableOf(found, most, {
    id: 'next-by-cause',
    list: found.nextByCause,
    by: 'cause',
    record: found.rankRecordByCause,
    where: ({ group, corner }) => ({ text: `${GROUP_TITLES[group]}, ${cornerWords(corner)}` }),
    note: 'The same seconds dealt out by what made them: a loss counts where it was made, with what its missing speed costs further on.',
  });
}

type Ranked = CircuitFindings['next'][number] | CircuitFindings['nextByCause'][number];

interface List<Item extends Ranked> {
  readonly id: string;
  readonly list: readonly Item[];
  readonly by: string;
  readonly record: CircuitFindings['rankRecord'];
  readonly where: (item: Item) => Cell;
  readonly note: string;
}

function tableOf<Item extends Ranked>(
  found: CircuitFindings,
  most: number,
  { id, list, by, record, where, note }: List<Item>,
): Table | null {
  const left = list.filter(({ remainingS }) => remainingS >= LEAST_S).slice(0, most);
  if (left.length === 0) return null;
  return {
    id,
    caption: `What to work on next, by ${by}: remaining losses from ${plural(found.progress.length, 'session')} on the track`,
    columns: [
      { title: 'where', kind: 'text' },
      { title: 'remains', unit: 's', kind: 'number' },
      { title: 'last session', unit: 's', kind: 'number' },
      { title: 'a loss at all', kind: 'number' },
      { title: `among the ${found.worst} largest`, kind: 'number' },
    ],
    rows: left.map((item): Cell[] => [
      { ...where(item), href: cornerPath(found.circuit, item.corner) },
      {
        text: number(item.remainingS, 2),
        tone: item.real >= 0.95 ? 'strong' : 'noise',
        aside: `±\u202f${number(Math.max(0.01, Z_90 * item.sdS), 2)}`,
      },
      { text: signed(item.lastS, 2) },
      { text: chanceWords(item.real), ...(item.real < 0.95 ? { tone: 'noise' as const } : {}) },
      { text: chanceWords(item.amongWorst) },
    ]),
    note: `${note}${recordWords(record, found.worst)}`,
    ...tableLinks(progressPath, `${id}-${slug(found.circuit)}`),
  };
}

/** How such a list fared so far. */
function recordWords({ sessions, regretS, lastLossRegretS }: CircuitFindings['rankRecord'], worst: number): string {
  if (regretS === null || lastLossRegretS === null) return ' No session has yet shown how well such a list foretells.';
  return ` Made after each of ${plural(sessions, 'earlier session')}, its first ${worst} met ${seconds(regretS, null, 2)} less loss in the sessions after than the best choice would have; a list by the last session alone ${seconds(lastLossRegretS, null, 2)}.`;
}
