import type { LedgerCell } from '../campaign/results.ts';
import { cellWords, cornerWords } from './cells.ts';
import { listWords, percent, seconds } from './words.ts';

type Item = Pick<LedgerCell, 'corner' | 'cell' | 'phase' | 'part'> & { readonly gapS: number };

/** Where what is lost goes. Shares are of the losses alone; what was gained elsewhere is not set off against them. */
export interface Losses {
  readonly lostS: number;
  readonly gainedS: number;
  /** Share of the losses by phase, 0 to 1; zero where nothing was lost. */
  readonly share: Readonly<Record<LedgerCell['phase'], number>>;
  /** Cells that lost time, largest first. */
  readonly largest: readonly Item[];
}

/** Splits cells into losses and gains. */
export function losses(cells: readonly Item[]): Losses {
  const lost = cells.filter((c) => c.gapS > 0);
  const lostS = lost.reduce((sum, c) => sum + c.gapS, 0);
  const part = (phase: LedgerCell['phase']): number =>
    lostS === 0 ? 0 : lost.filter((c) => c.phase === phase).reduce((sum, c) => sum + c.gapS, 0) / lostS;
  return {
    lostS,
    gainedS: -cells.filter((c) => c.gapS < 0).reduce((sum, c) => sum + c.gapS, 0),
    share: { braking: part('braking'), apex: part('apex'), drive: part('drive') },
    largest: [...lost].sort((a, b) => b.gapS - a.gapS),
  };
}

const PLACES = { braking: 'in braking zones', apex: 'at the apex', drive: 'in the drive' } as const;

/**
 * The losses in one sentence: the phase with the largest share, and the corners that hold half of that.
 *
 * Where nothing is lost it says where most is gained instead.
 */
export function lossSentence(cells: readonly Item[]): string {
  const { lostS, share } = losses(cells);
  if (lostS <= 0) return gainSentence(cells);
  const phase = (['braking', 'apex', 'drive'] as const).reduce((a, b) => (share[b] > share[a] ? b : a));
  const byCorner = new Map<string, number>();
  for (const c of cells)
    if (c.phase === phase && c.gapS > 0) byCorner.set(c.corner, (byCorner.get(c.corner) ?? 0) + c.gapS);
  const ordered = [...byCorner].sort((a, b) => b[1] - a[1]);
  const total = ordered.reduce((sum, [, s]) => sum + s, 0);
  const half: string[] = [];
  let held = 0;
  for (const [corner, s] of ordered) {
    if (held >= total / 2) break;
    half.push(corner);
    held += s;
  }
  const where =
    half.length > 4 ? `spread over ${half.length} corners and more` : `half of that in ${cornersWords(half)}`;
  return `${percent(share[phase])} of what is lost goes ${PLACES[phase]}, ${where}.`;
}

function gainSentence(cells: readonly Item[]): string {
  const [most] = cells.filter((c) => c.gapS < 0).sort((a, b) => a.gapS - b.gapS);
  return most
    ? `Nothing is lost anywhere; most is gained in ${cellWords(most)} (${seconds(-most.gapS, null, 2)}).`
    : '';
}

/** What is gained where nothing is lost: the finding of a figure that has no loss to show. */
export const noLossWords = (cells: readonly Item[]): string =>
  gainSentence(cells) || 'Nothing is lost and nothing gained anywhere.';

/** `corner 3`, `corners 3, 8 and 11`; named corners by their names. */
export function cornersWords(corners: readonly string[]): string {
  const all = corners.every((c) => /^\d/.test(c));
  return all && corners.length > 1 ? `corners ${listWords(corners)}` : listWords(corners.map(cornerWords));
}

/** The single largest loss: `braking for corner 3 (0.43 s)`; empty where nothing was lost. */
export function largestWords(cells: readonly Item[], digits: number): string {
  const [first] = losses(cells).largest;
  return first ? `${cellWords(first)} (${seconds(first.gapS, null, digits)})` : '';
}
