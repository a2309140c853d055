import type { LedgerCell } from '../../campaign/results.ts';
import { one } from './drawing.ts';

export type Phase = LedgerCell['phase'];

export const PHASE_LETTERS: Readonly<Record<Phase, 'B' | 'A' | 'D'>> = { braking: 'B', apex: 'A', drive: 'D' };

export const inkOf = (loses: boolean): string => (loses ? 'var(--loss)' : 'var(--gain)');

/** How much of the ink is under the texture: all for the apex, which has none. */
export const groundOf = (phase: Phase): number => (phase === 'apex' ? 1 : 0.16);

/** Distance of hatches along the edge, of dots, pixels. */
const HATCH = 6.5;
const DOTS = 5;
/** Rise of a hatch over its run. */
const SLOPE = 1.19;

/** A block on the drawing: two opposite corners of it, in pixels. */
export interface Textured {
  readonly phase: Phase;
  readonly loses: boolean;
  readonly a: readonly [number, number];
  readonly b: readonly [number, number];
}

/**
 * What lies on the ground of blocks: hatches for braking, dots for drive, nothing for the apex. Drawn as strokes and not as
 * a repeated pattern, which a printer's file would hold as a picture; one path for all blocks of a kind.
 */
export function texture(blocks: readonly Textured[]): string {
  return [true, false]
    .flatMap((loses) =>
      (['braking', 'drive'] as const).map((phase) => {
        const strokes = blocks
          .filter((block) => block.phase === phase && block.loses === loses)
          .map(({ a, b }) => {
            const [left, right] = [Math.min(a[0], b[0]), Math.max(a[0], b[0])];
            const [top, bottom] = [Math.min(a[1], b[1]), Math.max(a[1], b[1])];
            if (right - left < 0.5 || bottom - top < 0.5) return '';
            return (phase === 'braking' ? hatches : rowsOfDots)(left, right, top, bottom);
          })
          .join('');
        const look =
          phase === 'braking'
            ? 'stroke-width="1.7"'
            : `stroke-width="2" stroke-linecap="round" stroke-dasharray="0 ${DOTS}"`;
        return strokes && `<path d="${strokes}" stroke="${inkOf(loses)}" fill="none" ${look}/>`;
      }),
    )
    .join('');
}

/** Rising lines, cut off at the block's edges. All blocks of a drawing share one grid, so that neighbours join. */
function hatches(left: number, right: number, top: number, bottom: number): string {
  // A line is y = c - SLOPE x; c on a grid.
  const step = HATCH * SLOPE;
  const out: string[] = [];
  for (let c = Math.ceil((top + SLOPE * left) / step) * step; c < bottom + SLOPE * right; c += step) {
    const x1 = Math.max(left, (c - bottom) / SLOPE);
    const x2 = Math.min(right, (c - top) / SLOPE);
    if (x2 - x1 > 0.3) out.push(`M${one(x1)},${one(c - SLOPE * x1)}L${one(x2)},${one(c - SLOPE * x2)}`);
  }
  return out.join('');
}

/** Rows along which the dots stand. */
function rowsOfDots(left: number, right: number, top: number, bottom: number): string {
  const out: string[] = [];
  const from = Math.ceil((left + 1.2) / DOTS) * DOTS;
  const x = from > right - 1 ? (left + right) / 2 : from;
  for (let y = Math.ceil((top + 1.2) / DOTS) * DOTS; y <= bottom - 1; y += DOTS)
    out.push(`M${one(x)},${one(y)}H${one(Math.max(x + 0.1, right - 1))}`);
  return out.join('');
}
