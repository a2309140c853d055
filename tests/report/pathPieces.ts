export type Point = [x: number, y: number];

/**
 * Pieces of path data with their points, by the grammar of SVG 2, section 9.3, for straight lines: letters with numbers that
 * may follow each other without a space, a letter left out where it is that of the numbers before, lines after an M.
 */
export function pathPieces(d: string): { points: Point[]; closed: boolean }[] {
  const pieces: { points: Point[]; closed: boolean }[] = [];
  const tokens = d.match(/[A-Za-z]|[+-]?(?:\d+\.?\d*|\.\d+)/g) ?? [];
  let letter = '';
  let at: Point = [0, 0];
  const next = (): number => {
    const value = Number(tokens.shift());
    if (!Number.isFinite(value)) throw new Error(`no number in ${d}`);
    return value;
  };
  while (tokens.length > 0) {
    if (/[A-Za-z]/.test(tokens[0]!)) letter = tokens.shift()!;
    else if (letter.toLowerCase() === 'm') letter = letter === 'm' ? 'l' : 'L';
    const kind = letter.toLowerCase();
    if (kind === 'z') {
      pieces.at(-1)!.closed = true;
      at = [...pieces.at(-1)!.points[0]!];
      continue;
    }
    const from = kind === letter ? at : [0, 0];
    if (kind === 'm' || kind === 'l') at = [from[0]! + next(), from[1]! + next()];
    else if (kind === 'h') at = [from[0]! + next(), at[1]];
    else if (kind === 'v') at = [at[0], from[1]! + next()];
    else throw new Error(`${letter} is no straight line`);
    if (kind === 'm') pieces.push({ points: [at], closed: false });
    else pieces.at(-1)!.points.push(at);
  }
  return pieces;
}
