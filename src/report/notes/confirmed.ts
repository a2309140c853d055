import type { Claim } from './claim.ts';

/**
 * The text of a file with the marks of its claims as they are now, and nothing else changed.
 *
 * @param text of the whole file, which ends with the note
 * @param claims of that note
 */
export function confirmed(text: string, claims: readonly Claim[]): string {
  let changed = text;
  for (const claim of claims.toSorted((a, b) => b.span[0] - a.span[0])) {
    const start = text.lastIndexOf(claim.note.text);
    if (start < 0) continue;
    const [from, to] = claim.span.map((at) => at + start) as [number, number];
    changed = changed.slice(0, from) + withMark(text.slice(from, to), claim.mark) + changed.slice(to);
  }
  return changed;
}

/** `on=` at the end of a directive set to a mark, or put there. */
function withMark(directive: string, mark: string): string {
  const braces = /\{(?:[^{}"']|"[^"]*"|'[^']*')*\}$/.exec(directive);
  if (!braces) return directive;
  const [inside] = braces;
  const marked = /(?<=[\s{])on=("[^"]*"|'[^']*'|[^\s}]*)/.test(inside)
    ? inside.replace(/(?<=[\s{])on=("[^"]*"|'[^']*'|[^\s}]*)/, `on=${mark}`)
    : inside.replace(/\s*\}$/, ` on=${mark}}`);
  return directive.slice(0, braces.index) + marked;
}
