import type { SessionResult } from '../../campaign/results.ts';
import { GROUPS } from '../../causes/cause.ts';
import { GROUP_TITLES } from '../causes/names.ts';
import { MEDIAN_DIGITS } from '../medians.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Table } from '../report.ts';
import { summary } from '../summary.ts';
import { signed } from '../words.ts';
import { lapsOfAll, whole } from './change.ts';
import { CHANGED_KEY, changedCell, changeFound } from './changed.ts';

/** What each group of causes costs now and before, medians over the counted laps; null where no lap was split by cause. */
export function causeChange(
  results: Results,
  before: SessionResult | null,
  now: SessionResult,
): Omit<Table, 'csv' | 'json'> | null {
  const split = (session: SessionResult | null): Causes =>
    session ? lapsOfAll(results, [whole(session)]).flatMap(({ causes }) => causes ?? []) : [];
  const [a, b] = [split(before), split(now)];
  if (b.length === 0) return null;
  const median = (laps: Causes, group: (typeof GROUPS)[number]): number | null =>
    // Laps that do not differ in it lose nothing by it.
    summary(laps.map(({ groups }) => groups.find((g) => g.group === group)?.gapS ?? 0))?.median ?? null;
  const rows = GROUPS.map((group) => ({ group, before: median(a, group), now: median(b, group) }));
  const then = a.length > 0;
  const found = before && then ? changeFound(results, [whole(before)], [whole(now)]) : null;
  return {
    id: 'causes',
    caption:
      before && then ? `The gap by cause, ${before.session} and ${now.session}` : `The gap by cause, ${now.session}`,
    columns: [
      { title: 'cause', kind: 'text' },
      ...(then ? [{ title: 'before', unit: 's', kind: 'number' } as const] : []),
      { title: 'now', unit: 's', kind: 'number' },
      ...(then ? [{ title: 'change', unit: 's', kind: 'number' } as const] : []),
      ...(found ? [{ title: 'changed?', kind: 'text' } as const] : []),
    ],
    rows: rows
      // What nobody loses anything by has no row.
      .filter((row) => Math.max(Math.abs(row.before ?? 0), Math.abs(row.now ?? 0)) >= 0.005)
      .map((row): Cell[] => [
        { text: GROUP_TITLES[row.group] },
        ...(then ? [{ text: signed(row.before, MEDIAN_DIGITS) }] : []),
        { text: signed(row.now, MEDIAN_DIGITS) },
        ...(then
          ? [
              {
                text: signed(row.before === null || row.now === null ? null : row.now - row.before, MEDIAN_DIGITS),
                tone: 'strong' as const,
              },
            ]
          : []),
        ...(found ? [changedCell(found.causes.find(({ group }) => group === row.group))] : []),
      ]),
    note: `Medians over the counted laps, each lap split by cause; they need not add up to the median gap.${found ? ` ${CHANGED_KEY}` : ''}`,
  };
}

type Causes = readonly NonNullable<ReturnType<typeof lapsOfAll>[number]['causes']>[];
