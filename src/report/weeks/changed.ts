import type { Against, ComparisonFound } from '../../campaign/findings/schema.ts';
import { VERDICTS, verdictWords } from '../findings/verdictWords.ts';
import type { Place } from '../notes/place.ts';
import type { Results } from '../readResults.ts';
import type { Cell } from '../report.ts';
import { MISSING } from '../words.ts';

/** What the words in the column say. */
export const CHANGED_KEY =
  'Changed? In these sessions only: they differ by more than laps do by chance, but one day against one day cannot tell the software from the day.';

/**
 * What the campaign's findings say of the change from one place to another: of two sessions, or of two runs of a day with
 * different configurations. Null where they do not compare these.
 */
export function changeFound(results: Results, before: readonly Place[], now: readonly Place[]): Against | null {
  const [a, b] = [before[0], now[0]];
  if (!a || !b || before.length > 1 || now.length > 1 || a.lap || b.lap) return null;
  const found = results.campaign.findings.sessions.find((f) => f.session === b.session.session)?.against ?? [];
  const same = (names: readonly string[], name: string | undefined): boolean => names.length === 1 && names[0] === name;
  return (
    found.find(({ kind, of, with: other }) =>
      kind === 'configuration before'
        ? a.session === b.session && same(of, b.run?.file) && same(other, a.run?.file)
        : !a.run && !b.run && same(of, b.session.session) && same(other, a.session.session),
    ) ?? null
  );
}

/** The verdict as a cell; what cannot be told from noise is set as such. */
export function changedCell(found: ComparisonFound | null | undefined): Cell {
  if (!found) return { text: MISSING, tone: 'quiet' };
  const told = found.verdict === 'real' || found.verdict === 'within these sessions only';
  return { text: VERDICTS[found.verdict], ...(told ? {} : { tone: 'noise' as const }) };
}

/** Whether the gap of the lap changed, in a sentence; empty where nothing is known. */
export const changedSentence = (found: Against | null): string =>
  found ? `The change is ${verdictWords(found.lap)}.` : '';
