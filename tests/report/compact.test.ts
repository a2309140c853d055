import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compact, compactPath } from '../../src/report/figures/compact.ts';
import { pathPieces } from './pathPieces.ts';

/** Whole tenths of pixels, so that points can be compared exactly. */
const tenths = (d: string) =>
  pathPieces(d).map(({ points, closed }) => ({ closed, points: points.map(([x, y]) => [round(x), round(y)]) }));
const round = (value: number): number => Math.round(value * 10) + 0;

const coordinate = fc.integer({ min: -20_000, max: 20_000 }).map((n) => String(n / 10));
const command = fc.oneof(
  fc.tuple(fc.constantFrom('M', 'L', 'm', 'l'), coordinate, coordinate).map(([letter, x, y]) => `${letter}${x},${y}`),
  fc.tuple(fc.constantFrom('H', 'V', 'h', 'v'), coordinate).map(([letter, x]) => letter + x),
  fc.tuple(coordinate, coordinate).map(([x, y]) => `L${x},${y} ${y},${x}`),
  fc.tuple(coordinate, coordinate).map(([x, y]) => `ZM${x},${y}`),
);

describe('a compact path', () => {
  // Both are read by the grammar of the specification, which the code under test knows nothing of.
  test('has the same points, and is not longer', () => {
    fc.assert(
      fc.property(
        coordinate,
        coordinate,
        fc.array(command, { maxLength: 40 }),
        fc.boolean(),
        (x, y, commands, closed) => {
          const d = `M${x},${y}${commands.join('')}${closed ? 'Z' : ''}`;
          const made = compactPath(d);
          expect(tenths(made)).toEqual(tenths(d));
          expect(compactPath(made)).toBe(made);
        },
      ),
    );
  });

  // By hand.
  test('is written as steps, without what the letter before says already', () => {
    expect(compactPath('M56,44.7L56.5,44.5L57.6,40.7L58.2,40.7L58.2,41L10.5,41M1,2H3M5,2L6,3Z')).toBe(
      'M56 44.7l.5-.2 1.1-3.8h.6v.3h-47.7m-9.5-39h2m2 0 1 1z',
    );
  });

  test('stays as it is where it has curves or more decimals', () => {
    for (const d of ['M1,2A3,3,0,1,1,4,5Z', 'M1.25,2L3,4']) expect(compactPath(d)).toBe(d);
  });
});

describe('rectangles', () => {
  const rect = (x: number, ink: string) => `<rect x="${x}" y="2" width="3.5" height="4"${ink} />`;
  test('of one ink become one path, others stay', () => {
    const [warm, cool] = [' fill="var(--loss)"', ' fill="var(--gain)"'];
    const drawn = compact(`<g>${rect(1, warm)}${rect(5, cool)}${rect(9, warm)}</g>${rect(1, ' rx="2"').repeat(2)}`);
    expect(drawn).toBe(
      `<g><path d="M1 2h3.5v4h-3.5zm8 0h3.5v4h-3.5z"${warm}/><path d="M5 2h3.5v4h-3.5z"${cool}/></g>${rect(1, ' rx="2"').repeat(2)}`,
    );
  });
});

describe('paths', () => {
  const tick = (x: number, ink: string) => `<path d="M${x},4v7"${ink}/>`;
  test('of one ink that follow each other become one', () => {
    const [thin, bold] = [' stroke="var(--soft)"', ' stroke="currentColor"'];
    expect(compact(tick(1, thin) + tick(5, thin) + tick(7.5, bold) + tick(9, thin))).toBe(
      `<path d="M1 4v7m4-7v7"${thin}/><path d="M7.5 4v7"${bold}/><path d="M9 4v7"${thin}/>`,
    );
  });
  test('stay where they are filled, one shows through another, or is moved by itself', () => {
    for (const ink of [' fill="var(--loss)"', ' stroke-opacity=".5"', ' transform="translate(2,3)"']) {
      const two = '<path d="M1 4v7"'.concat(ink, '/>').repeat(2);
      expect(compact(two)).toBe(two);
    }
  });
});
