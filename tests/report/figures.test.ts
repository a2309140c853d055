import { describe, expect, test } from 'vitest';
import { FORMS } from '../../src/report/figures/drawing.ts';
import { gapCurve } from '../../src/report/figures/gapCurve.ts';
import { type Block, skyline } from '../../src/report/figures/skyline.ts';
import { type Point, pathPieces } from './pathPieces.ts';

const blocks: Block[] = [
  { corner: '1', phase: 'drive', fromM: 0, toM: 200, gapS: 0.1, lowS: 0.08, highS: 0.12 },
  { corner: '1', phase: 'braking', fromM: 200, toM: 300, gapS: 0.4, lowS: 0.38, highS: 0.42 },
  { corner: '1', phase: 'apex', fromM: 300, toM: 340, gapS: -0.08, lowS: -0.1, highS: -0.06 },
  { corner: '2', phase: 'drive', fromM: 340, toM: 1000, gapS: 0.2, lowS: 0.1, highS: 0.3 },
];
const draw = (): string => skyline(FORMS.wide, 'sky-wide', 'Where the time goes', { blocks, lengthM: 1000, digits: 2 });

/** Rectangles that are filled as blocks of a phase, from left to right. */
function areas(svg: string): { ink: string; area: number }[] {
  return [...svg.matchAll(/<path\b[^>]*>/g)]
    .flatMap(([tag]) => {
      const ink = / fill="var\(--(loss|gain)\)"/.exec(tag)?.[1];
      return ink === undefined ? [] : pathPieces(/ d="([^"]*)"/.exec(tag)![1]!).map((piece) => ({ ink, piece }));
    })
    .map(({ ink, piece: { points, closed } }) => {
      const [[x1, y1], [x2], [x3, y3]] = points as [Point, Point, Point];
      expect([closed, points.length, x3]).toEqual([true, 4, x2]);
      return { ink, left: Math.min(x1, x3), area: Math.abs((x3 - x1) * (y3 - y1)) };
    })
    .sort((p, q) => p.left - q.left);
}

describe('a skyline', () => {
  test('gives every block an area in proportion to its seconds', () => {
    // Width is metres and height is seconds per 100 m, so area over seconds is one number; a tenth of a pixel is lost to rounding.
    const drawn = areas(draw());
    expect(drawn).toHaveLength(blocks.length);
    const perSecond = drawn.map(({ area }, i) => area / Math.abs(blocks[i]!.gapS));
    for (const ratio of perSecond) expect(ratio / perSecond[1]!).toBeCloseTo(1, 1);
  });
  test('draws losses warm and gains cool', () =>
    expect(areas(draw()).map(({ ink }) => ink)).toEqual(['loss', 'loss', 'gain', 'loss']));
  test('comes out the same whatever was drawn before it', () => {
    const first = draw();
    skyline(FORMS.narrow, 'other', 'Another', { blocks: blocks.slice(1), lengthM: 500, digits: 1 });
    expect(draw()).toBe(first);
  });
  test('carries one name and no colour of its own', () => {
    expect(draw().match(/aria-label/g)).toHaveLength(1);
    expect(draw()).not.toMatch(/#[0-9a-f]{3,6}\b(?!-)"|rgb\(|steelblue|white|black/);
  });
});

describe('a gap curve', () => {
  const n = 1001;
  const flat = Array<number>(n).fill(100 / 3.6);
  const curves = {
    schema: 1 as const,
    session: 's',
    run: 'r',
    lap: 1,
    stepM: 1,
    timeS: flat,
    gapS: Array.from({ length: n }, (_, i): number | null => (i > 400 && i < 500 ? null : i / 1000)),
    sigmaS: Array<number>(n).fill(0.005),
    speedMps: flat,
    referenceMps: flat,
    offsetM: flat,
    referenceOffsetM: flat,
  };
  const svg = gapCurve(FORMS.wide, 'gap', 'Gap', { curves, corners: [], lengthM: 1000, digits: 2 });
  test('bridges a hole in the data with dots and never draws through it', () => {
    expect(svg).toContain('stroke-dasharray="1.5 3"');
    expect(svg).not.toMatch(/NaN/);
  });
  test('ends with its last value', () => expect(svg).toContain('>1.00</text>'));
});
