import { distance } from 'fastest-levenshtein';

/** The word of `among` that is nearest in spelling, or null where none is near (more than a third of its letters off). */
export function nearestWord(word: string, among: readonly string[]): string | null {
  let best: string | null = null;
  let least = Number.POSITIVE_INFINITY;
  for (const candidate of among) {
    const d = distance(word.toLowerCase(), candidate.toLowerCase());
    if (d < least) [best, least] = [candidate, d];
  }
  return best !== null && least <= Math.max(2, Math.ceil(best.length / 3)) ? best : null;
}
