import type { EditionRecord } from '../../campaign/editions.ts';
import { figureOf } from '../figureOf.ts';
import { movedBars } from '../figures/movedBars.ts';
import type { Phase } from '../figures/textures.ts';
import { pageOf } from '../pageOf.ts';
import { evidencePath, tableLinks } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Figure, Page, Table } from '../report.ts';
import { count, lapTime, listWords, MISSING, plural, sentence, signed } from '../words.ts';
import { editionName, editionPath, type Pair } from './pairs.ts';
import { type Reason, why } from './why.ts';

/** What moved between two editions, and why. */
export interface MovedReport extends Page {
  readonly kind: 'moved';
  readonly figures: Table;
  readonly reasons: Table;
  readonly cells: Table | null;
  /** Where on the lap; null where no part moved. */
  readonly figure: Figure | null;
}

const DIGITS = 3;
/** What moved by less is written as it was, s. */
export const ROUNDING_S = 0.5 * 10 ** -DIGITS;
const CELLS: Readonly<Record<string, string>> = {
  straight: 'straight before it',
  braking: 'braking',
  apex: 'apex',
  exit: 'drive out',
};
/** The phase that a cell of the ledger belongs to; a straight is part of the drive. */
const PHASES: Readonly<Record<string, Phase>> = { braking: 'braking', apex: 'apex' };

/** Everything the page of two editions says. */
export function movedReport(results: Results, { before, now, path }: Pair): MovedReport {
  const reasons = why(before, now);
  const same = before.milestone === now.milestone;
  const moved = movedGap(before, now);
  const cells = cellsTable(path, before, now);
  return {
    kind: 'moved',
    ...pageOf(results, {
      path,
      name: `What moved from ${editionName(before)} to ${editionName(now)}`,
      kicker: [{ text: 'Evidence', href: evidencePath }, { text: ` · ${editionName(before)} and ${editionName(now)}` }],
      headline:
        moved === null
          ? 'The two editions have no gap in common'
          : Math.abs(moved) < ROUNDING_S
            ? `The median gap is what it was${cells ? ', some of its parts are not' : ''}`
            : `The median gap ${moved < 0 ? 'fell' : 'rose'} by ${signed(Math.abs(moved), DIGITS).replace('+', '')} s`,
      opening: opening(reasons, moved, same),
    }),
    figures: figuresTable(path, before, now),
    reasons: {
      id: 'reasons',
      ...tableLinks(path, 'reasons'),
      caption: 'What the two editions were made from',
      columns: [
        { title: 'kind', kind: 'text' },
        { title: 'what changed', kind: 'text' },
      ],
      rows: reasons.map(({ kind, changed }) => [
        { text: kind },
        changed === null ? { text: 'nothing', tone: 'quiet' } : { text: changed },
      ]),
      note: 'Told by SHA-256 of each file. Notes move no number.',
    },
    cells,
    figure: cells && movedFigure(cells, before, now),
  };
}

const gapOf = ({ figures }: EditionRecord): number | null => figures?.medianGapS ?? null;

/** Median gap now less median gap before, s; null where one of them has none. */
export function movedGap(before: EditionRecord, now: EditionRecord): number | null {
  const [a, b] = [gapOf(before), gapOf(now)];
  return a === null || b === null ? null : b - a;
}

/** Why the figures of two editions differ, in a sentence. */
export function opening(reasons: readonly Reason[], moved: number | null, same: boolean): string {
  const causes = reasons.filter(({ kind, changed }) => kind !== 'notes' && changed !== null).map(({ kind }) => kind);
  const notes = reasons.some(({ kind, changed }) => kind === 'notes' && changed !== null);
  const still = moved !== null && Math.abs(moved) < ROUNDING_S;
  if (causes.length === 0)
    return still
      ? `Data, method and tool are the same in both${notes ? '; only what people wrote changed' : ', and so is every note'}.`
      : 'Data, method and tool are the same in both, so that no figure may differ; verify both editions.';
  if (!same && causes.length === 1 && causes[0] === 'data')
    return 'The two milestones stand on different laps, which method and tool treated alike.';
  const [only] = causes;
  if (causes.length === 1)
    return still
      ? `The ${only} changed, and the median gap did not follow.`
      : `Of data, method and tool only the ${only} changed, so it is the ${only} that moved the figures.`;
  return `${sentence(causes.slice(0, -1).join(', '))} and ${causes.at(-1)} changed together; these figures alone don’t tell their shares apart. Recomputing the earlier edition with the newer tool does: \`gapbook verify\` lists what then differs.`;
}

function figuresTable(path: string, before: EditionRecord, now: EditionRecord): Table {
  const [a, b] = [before.figures, now.figures];
  const difference = (x: number | null | undefined, y: number | null | undefined): Cell => {
    if (x == null || y == null) return { text: MISSING, tone: 'quiet' };
    const by = y - x;
    return Math.abs(by) < ROUNDING_S
      ? { text: signed(0, DIGITS), tone: 'quiet' }
      : { text: signed(by, DIGITS), tone: by > 0 ? 'loss' : 'gain' };
  };
  const time = (title: string, key: 'medianS' | 'bestS'): Cell[] => [
    { text: title },
    { text: lapTime(a?.[key]) },
    { text: lapTime(b?.[key]) },
    difference(a?.[key], b?.[key]),
  ];
  const gap = (title: string, key: 'medianGapS' | 'bestGapS'): Cell[] => [
    { text: title },
    { text: signed(a?.[key], DIGITS) },
    { text: signed(b?.[key], DIGITS) },
    difference(a?.[key], b?.[key]),
  ];
  return {
    id: 'figures',
    ...tableLinks(path, 'figures'),
    caption: `The laps that the milestone stands on, before in ${editionName(before)}, now in ${editionName(now)}`,
    columns: [
      { title: 'figure', kind: 'text' },
      { title: 'before', kind: 'number' },
      { title: 'now', kind: 'number' },
      { title: 'moved', kind: 'number', unit: 's' },
    ],
    rows: [
      [{ text: 'Counted laps' }, { text: count(a?.laps) }, { text: count(b?.laps) }, { text: MISSING, tone: 'quiet' }],
      time('Median lap', 'medianS'),
      time('Best lap', 'bestS'),
      gap('Median gap', 'medianGapS'),
      gap('Least gap', 'bestGapS'),
      [
        { text: 'Report' },
        { text: 'read it', href: editionPath(before) },
        { text: 'read it', href: editionPath(now) },
        { text: MISSING, tone: 'quiet' },
      ],
    ],
  };
}

type CellKey = { readonly corner: string; readonly cell: string };

/** Parts of the lap that both editions have, in its order, with their median gaps, s. */
function partsOf(before: EditionRecord, now: EditionRecord): (CellKey & { from: number; to: number })[] {
  const key = ({ corner, cell }: CellKey): string => JSON.stringify([corner, cell]);
  const was = new Map(before.figures?.cells.map((cell) => [key(cell), cell.medianGapS]));
  return (now.figures?.cells ?? []).flatMap(({ corner, cell, medianGapS }) => {
    const from = was.get(key({ corner, cell }));
    return from === undefined ? [] : [{ corner, cell, from, to: medianGapS }];
  });
}

function movedFigure(table: Table, before: EditionRecord, now: EditionRecord): Figure {
  const parts = partsOf(before, now).map(({ corner, cell, from, to }) => ({
    corner,
    phase: PHASES[cell] ?? ('drive' as const),
    byS: to - from,
  }));
  const up = parts.reduce((sum, { byS }) => sum + Math.max(0, byS), 0);
  const down = parts.reduce((sum, { byS }) => sum - Math.min(0, byS), 0);
  const sum = (seconds: number, what: string): string[] =>
    seconds < ROUNDING_S ? [] : [`what ${what} comes to ${seconds.toFixed(DIGITS)}\u202fs`];
  const [first] = table.rows;
  return figureOf(
    {
      id: 'moved-parts',
      number: 1,
      title: 'Where on the lap it moved',
      caption: `Corner ${first![0]!.text}, ${first![1]!.text}, moved most: by ${first!.at(-1)!.text}\u202fs. ${sentence(listWords([...sum(down, 'fell'), ...sum(up, 'rose')]))}.`,
      key: `Median gap of each part in ${editionName(now)} less that in ${editionName(before)}, in the order of the lap; numbers below are corners. Hatched: braking; plain: apex; dotted: the straight before a corner and the drive out of it.`,
      source: [],
      table,
      tableElsewhere: true,
      doubts: [],
    },
    (form, _, name) => movedBars(form, name, parts),
  );
}

function cellsTable(path: string, before: EditionRecord, now: EditionRecord): Table | null {
  const rows = partsOf(before, now)
    .filter(({ from, to }) => Math.abs(to - from) >= ROUNDING_S)
    .toSorted((a, b) => Math.abs(b.to - b.from) - Math.abs(a.to - a.from));
  if (rows.length === 0) return null;
  return {
    id: 'cells',
    ...tableLinks(path, 'cells'),
    caption: `${sentence(plural(rows.length, 'part'))} of the lap moved, the largest first`,
    columns: [
      { title: 'corner', kind: 'text' },
      { title: 'part', kind: 'text' },
      { title: 'before', kind: 'number', unit: 's' },
      { title: 'now', kind: 'number', unit: 's' },
      { title: 'moved', kind: 'number', unit: 's' },
    ],
    rows: rows.map(({ corner, cell, from, to }) => [
      { text: corner },
      { text: CELLS[cell] ?? cell },
      { text: signed(from, DIGITS) },
      { text: signed(to, DIGITS) },
      { text: signed(to - from, DIGITS), tone: to > from ? 'loss' : 'gain' },
    ]),
    note: 'Parts that moved by half a millisecond or more. Median gap of each over the counted laps; medians of parts need not add up to the median of the lap.',
  };
}
