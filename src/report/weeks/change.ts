import type { ComparisonFound } from '../../campaign/findings/schema.ts';
import type { LapResult, SessionResult } from '../../campaign/results.ts';
import { cornerWords, PHASES } from '../cells.ts';
import { tone } from '../ledgerTable.ts';
import { lapsOf } from '../notes/overLaps.ts';
import { type Place, placeText } from '../notes/place.ts';
import { cornerPath } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Table } from '../report.ts';
import { summary } from '../summary.ts';
import { MISSING, plural, signed } from '../words.ts';
import { CHANGED_KEY, changedCell, changeFound } from './changed.ts';

type Phase = (typeof PHASES)[number];

/** What a corner or a phase cost then and now, medians over laps. */
export interface Change {
  readonly before: number;
  readonly now: number;
  readonly changeS: number;
  /** Every lap that the medians are taken over, for whoever says whether the change is real. */
  readonly laps: { readonly before: readonly number[]; readonly now: readonly number[] };
}

/** The laps of some places of one circuit, taken together. */
export function lapsOfAll(results: Results, places: readonly Place[]): readonly LapResult[] {
  return places.flatMap((place) => lapsOf(results, place)).filter((lap) => lap.ledger.length > 0);
}

/** Change of a part of the ledger, or null where one side has no lap with it. */
export function changeOf(
  before: readonly LapResult[],
  now: readonly LapResult[],
  { corner = null, phase = null }: { corner?: string | null; phase?: Phase | null },
): Change | null {
  const sums = (laps: readonly LapResult[]): number[] =>
    laps.flatMap(({ ledger }) => {
      const cells = ledger.filter(
        (c) => (corner === null || c.corner === corner) && (phase === null || c.phase === phase),
      );
      return cells.length === 0 ? [] : [cells.reduce((sum, c) => sum + c.gapS, 0)];
    });
  const laps = { before: sums(before), now: sums(now) };
  const [a, b] = [summary(laps.before), summary(laps.now)];
  return a && b ? { before: a.median, now: b.median, changeS: b.median - a.median, laps } : null;
}

const DIGITS = 2;

/** Corner by corner and phase by phase: what it costs now, and the change since then. */
export function changeTable(
  results: Results,
  own: Pick<Table, 'id' | 'csv' | 'json'>,
  circuit: string,
  before: { readonly places: readonly Place[]; readonly words: string },
  now: { readonly places: readonly Place[]; readonly words: string },
): Table {
  const [a, b] = [lapsOfAll(results, before.places), lapsOfAll(results, now.places)];
  const corners = results.circuit(circuit)?.corners.map((c) => c.name) ?? [];
  const cells = (of: { corner?: string }): Cell[] => [
    ...PHASES.map((phase): Cell => {
      const change = changeOf(a, b, { ...of, phase });
      return change
        ? { text: signed(change.changeS, DIGITS), ...tone(change.changeS, DIGITS) }
        : { text: MISSING, tone: 'quiet' };
    }),
    ...all(changeOf(a, b, of)),
  ];
  const found = changeFound(results, before.places, now.places);
  const verdict = (of: ComparisonFound | null | undefined): Cell[] => (found ? [changedCell(of)] : []);
  const all = (change: Change | null): Cell[] =>
    change
      ? [
          { text: signed(change.changeS, DIGITS), ...tone(change.changeS, DIGITS) },
          { text: signed(change.before, DIGITS) },
          { text: signed(change.now, DIGITS) },
        ]
      : [MISSING, MISSING, MISSING].map((text) => ({ text, tone: 'quiet' as const }));
  return {
    ...own,
    caption: `Change of the loss from ${before.words} (${plural(a.length, 'lap')}) to ${now.words} (${plural(b.length, 'lap')}), medians`,
    columns: [
      { title: 'corner', kind: 'text' },
      ...PHASES.map((title) => ({ title, unit: 's', kind: 'number' as const })),
      { title: 'change', unit: 's', kind: 'number' },
      { title: 'before', unit: 's', kind: 'number' },
      { title: 'now', unit: 's', kind: 'number' },
      ...(found ? [{ title: 'changed?', kind: 'text' as const }] : []),
    ],
    rows: corners.map((corner): Cell[] => [
      { text: cornerWords(corner).replace(/^corner /, ''), href: cornerPath(circuit, corner) },
      ...cells({ corner }),
      ...verdict(found?.corners.find((c) => c.corner === corner)),
    ]),
    foot: [[{ text: 'lap' }, ...cells({}), ...verdict(found?.lap)]],
    note: `Below zero: less is lost than before. Medians of corners need not add up to that of the lap.${found ? ` ${CHANGED_KEY}` : ''}`,
  };
}

/** Two places side by side, as a note asks for it. */
export const compareTable = (
  results: Results,
  own: Pick<Table, 'id' | 'csv' | 'json'>,
  of: Place,
  against: Place,
): Table =>
  changeTable(
    results,
    own,
    of.session.circuit,
    { places: [against], words: placeText(against) },
    { places: [of], words: placeText(of) },
  );

/** A session as a place. */
export const whole = (session: SessionResult): Place => ({ session, run: null, lap: null });
