import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { PhaseCorner, PhaseMap } from '../../src/circuit/phases.ts';
import { cellsOf } from '../../src/gap/cells.ts';

const corner = (name: string, a: number, b: number, r: number, p: number, brakes = true): PhaseCorner => ({
  name,
  direction: 'left',
  entryM: r,
  exitM: p,
  radiusM: 40,
  brakes,
  a,
  b,
  r,
  p,
});
const mapOf = (lengthM: number, corners: readonly PhaseCorner[]): PhaseMap => ({
  version: 1,
  circuit: 'c',
  lengthM,
  madeFrom: '',
  corners,
});

/** A map whose stations rise round the lap from anywhere, and onsets that may lie anywhere on or near it. */
const anyMap = fc
  .record({
    lengthM: fc.double({ min: 50, max: 6000, noNaN: true }),
    steps: fc.array(fc.tuple(fc.nat(9), fc.nat(9), fc.nat(9), fc.nat(9), fc.boolean()), { minLength: 1, maxLength: 8 }),
    turn: fc.double({ min: 0, max: 0.999, noNaN: true }),
  })
  .map(({ lengthM, steps, turn }) => {
    const total = steps.reduce((sum, [w, x, y, z]) => sum + w + x + y + z + 1, 0);
    let at = turn * lengthM;
    const next = (share: number): number => {
      // A tenth of a metre, as maps are written.
      const here = Math.round((at % lengthM) * 10) / 10;
      at += (share / total) * lengthM;
      return here < lengthM ? here : 0;
    };
    const corners = steps.map(([w, x, y, z, brakes], i) => {
      const [a, b, r, p] = [next(w), next(x), next(y), next(z + 1)];
      return corner(String(i + 1), a, brakes ? b : r, r, p, brakes);
    });
    return mapOf(lengthM, corners);
  });
const anyOnsets = fc.array(fc.array(fc.double({ min: -0.6, max: 1.6, noNaN: true }), { maxLength: 2 }), {
  minLength: 8,
  maxLength: 8,
});

describe('cells', () => {
  test('tile the lap to the last bit, whatever the map and wherever the riders brake', () => {
    fc.assert(
      fc.property(anyMap, anyOnsets, (map, shares) => {
        const cells = cellsOf(
          map,
          map.corners.map((_, i) => shares[i]!.map((s) => s * map.lengthM)),
        );
        let at = 0;
        for (const { fromM, toM } of cells) {
          expect(fromM).toBe(at);
          expect(toM).toBeGreaterThanOrEqual(fromM);
          at = toM;
        }
        expect(at).toBe(map.lengthM);
        for (const { name } of map.corners) {
          const own = cells.filter((cell) => cell.corner === name).map(({ cell }) => cell);
          expect(new Set(own)).toEqual(new Set(['straight', 'braking', 'apex', 'exit']));
        }
        const parts = cells.filter(({ part }) => part);
        expect(parts.length === 0 || parts.length === 2).toBe(true);
      }),
      { seed: 4, numRuns: 500 },
    );
  });

  test('r and p are boundaries whoever rides; a is one too', () => {
    fc.assert(
      fc.property(anyMap, anyOnsets, (map, shares) => {
        const cells = cellsOf(
          map,
          map.corners.map((_, i) => shares[i]!.map((s) => s * map.lengthM)),
        );
        const bounds = new Set(cells.flatMap(({ fromM, toM }) => [fromM, toM % map.lengthM]));
        for (const { a, r, p } of map.corners) for (const s of [a, r, p]) expect(bounds.has(s)).toBe(true);
      }),
      { seed: 5, numRuns: 200 },
    );
  });

  // Method: braking begins at the earliest of b and the two laps' own onsets, not before a.
  const map = mapOf(1000, [
    corner('1', 100, 200, 260, 300),
    corner('2', 500, 600, 650, 700),
    corner('3', 900, 960, 20, 60),
  ]);
  const begins = (onsets: readonly number[][]): number[] =>
    ['1', '2', '3'].map(
      (name) =>
        cellsOf(map, onsets).find((c) => c.corner === name && c.cell === 'braking' && c.part !== 'from gate')!.fromM,
    );

  test.each([
    ['b where nobody brakes', [[], [], []], [200, 600, 960]],
    [
      'b where both brake later',
      [
        [210, 230],
        [601, 640],
        [965, 5],
      ],
      [200, 600, 960],
    ],
    [
      'the earlier of the two',
      [
        [190, 150],
        [580, 640],
        [950, 970],
      ],
      [150, 580, 950],
    ],
    ['a where one brakes before it', [[90], [450], [850]], [100, 500, 900]],
    ['b where the onsets lie behind r', [[280], [660], [30]], [200, 600, 960]],
    ['the same for onsets counted a lap away', [[1150], [-420], [-50]], [150, 580, 950]],
  ] as const)('braking begins at %s', (_, onsets, wanted) => {
    expect(begins(onsets.map((o) => [...o]))).toEqual(wanted);
  });

  test('the gate cuts the cell it stands in in two, and no other', () => {
    const cells = cellsOf(map, []);
    expect(
      cells.filter(({ part }) => part).map(({ corner: c, cell, part, fromM, toM }) => [c, cell, part, fromM, toM]),
    ).toEqual([
      ['3', 'braking', 'from gate', 0, 20],
      ['3', 'braking', 'to gate', 960, 1000],
    ]);
  });

  test('a corner without braking has an empty braking cell, and phases are those of the table', () => {
    const cells = cellsOf(mapOf(1000, [corner('1', 100, 200, 260, 300), corner('2', 500, 650, 650, 700, false)]), []);
    const second = cells.filter((c) => c.corner === '2' && c.fromM >= 500);
    expect(second.map(({ cell, phase, fromM, toM }) => [cell, phase, fromM, toM])).toEqual([
      ['straight', 'drive', 500, 650],
      ['braking', 'braking', 650, 650],
      ['apex', 'apex', 650, 700],
      ['exit', 'drive', 700, 1000],
    ]);
  });

  test('one corner alone has the whole lap', () => {
    const cells = cellsOf(mapOf(800, [corner('1', 700, 750, 20, 60)]), []);
    expect(cells.map(({ cell, fromM, toM }) => [cell, fromM, toM])).toEqual([
      ['braking', 0, 20],
      ['apex', 20, 60],
      ['exit', 60, 700],
      ['straight', 700, 750],
      ['braking', 750, 800],
    ]);
  });
});
