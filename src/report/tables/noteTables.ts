import { claimsReport } from '../claims.ts';
import { directiveTables } from '../directives.ts';
import { briefReport, briefsOf } from '../milestones/brief.ts';
import { medianOfLaps } from '../milestones/medianOfLaps.ts';
import { judged } from '../milestones/milestoneReport.ts';
import { milestonesTable } from '../milestones/milestonesTable.ts';
import { milestoneTables } from '../milestones/milestoneTables.ts';
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
    const { sessions, configurations, changes, parts, causes, incidents } = weekTables(results, week);
    return [sessions, configurations, changes, parts, causes, incidents].flatMap(some);
  });
  const milestones = results.campaign.milestones.flatMap(({ id }) => {
    const { verdict, previous } = judged(results, id);
    const of = milestoneTables(results, verdict, medianOfLaps(verdict), previous);
    return [
      of.conditions,
      of.laps,
      of.files,
      of.medians,
      of.remaining,
      of.changes,
      of.editions,
      of.gates,
      of.skyline,
    ].flatMap(some);
  });
  const claims = claimsReport(results);
  const briefs = briefsOf(results).flatMap((id) => some(briefReport(results, id).figure?.table ?? null));
  return [
    ...milestones,
    ...briefs,
    ...some(milestonesTable(results)),
    ...weeks,
    ...compared,
    ...claims.groups.map(({ table }) => table),
    ...some(claims.stands),
    ...(results.campaign.edition ? [] : directiveTables(results)),
  ];
}
