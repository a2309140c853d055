import { claimsReport } from '../claims.ts';
import { directiveTables } from '../directives.ts';
import { tableOf } from '../noteParts.ts';
import { setOnce } from '../notes/checkedNotes.ts';
import { notesOf } from '../notes/note.ts';
import { weeksOf } from '../notes/weeksOf.ts';
import type { Results } from '../readResults.ts';
import type { Table } from '../report.ts';
import { weekTables } from '../weeks/weekTables.ts';

/** Tables of weeks, notes, claims and directives that are on no other page, each once. */
export function noteTables(results: Results): Table[] {
  const some = (table: Table | null): Table[] => (table ? [table] : []);
  const compared = notesOf(results).flatMap((note) =>
    setOnce(note, results).blocks.flatMap((block) =>
      'wanted' in block && block.wanted.name === 'compare'
        ? some(tableOf(results, block.wanted, block.id, note.page))
        : [],
    ),
  );
  const weeks = weeksOf(results).flatMap((week) => {
    const { sessions, configurations, changes, parts, incidents } = weekTables(results, week);
    return [sessions, configurations, changes, parts, incidents].flatMap(some);
  });
  return [...weeks, ...compared, ...some(claimsReport(results).files), ...directiveTables(results)];
}
