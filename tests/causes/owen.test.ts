import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Game, owen, shapley } from '../../src/causes/owen.ts';
import { readCheck, withReference } from '../reference/folder.ts';

/** A game from the costs of an airport's runways: the most expensive one that a set needs. */
const airport =
  (costs: readonly number[]): Game =>
  (players) =>
    costs.reduce((most, cost, i) => (players & (1 << i) ? Math.max(most, cost) : most), 0);

describe('the Shapley value', () => {
  // Source: Littlechild & Owen, Management Science 20 (1973) 370: the increments are shared equally by who needs them.
  test('of the airport game with costs 8, 11, 13, 18 is 2, 3, 4, 9', () => {
    const shares = shapley(4, airport([8, 11, 13, 18]));
    [2, 3, 4, 9].forEach((share, i) => {
      expect(shares[i]).toBeCloseTo(share, 12);
    });
  });

  // Source: glove game, one left glove and two right ones: 2/3, 1/6, 1/6 (textbook).
  test('of the glove game is 2/3, 1/6, 1/6', () => {
    const shares = shapley(3, (s) => (s & 1 && s & 6 ? 1 : 0));
    [2 / 3, 1 / 6, 1 / 6].forEach((share, i) => {
      expect(shares[i]).toBeCloseTo(share, 12);
    });
  });
});

interface Given {
  left?: number;
  right?: number;
  costs?: number[];
  quota?: number;
  weights?: number[];
  v?: Record<string, number>;
}

withReference('Shapley values of small games', () => {
  // Source: reference check f-stats/shapley (definition over all orders, exact fractions).
  const check = readCheck<Given, { shapley: number[] }>('f-stats/shapley.json');
  test.each(check.cases)('$id $game', ({ in: given, out }) => {
    const n = out.shapley.length;
    const game: Game = (players) => {
      const inside = Array.from({ length: n }, (_, i) => i).filter((i) => players & (1 << i));
      if (given.costs) return airport(given.costs)(players);
      if (given.v) return inside.length === 0 ? 0 : given.v[inside.map((i) => i + 1).join('')]!;
      if (given.weights) return inside.reduce((sum, i) => sum + given.weights![i]!, 0) >= given.quota! ? 1 : 0;
      const left = inside.filter((i) => i < given.left!).length;
      return Math.min(left, inside.length - left);
    };
    const shares = shapley(n, game);
    out.shapley.forEach((share, i) => {
      expect(shares[i]).toBeCloseTo(share, 12);
    });
  });
});

describe('the Owen value', () => {
  // By hand: game of three, unions {1, 2} and {3}, worth 1 for {1, 3} and {2, 3} and all, else 0. The unions share 1 as
  // 1/2, 1/2 (each makes it 1 when it comes last); 1 and 2 are alike and halve theirs.
  test('of a union of two against one is 1/4, 1/4, 1/2', () => {
    const shares = owen([[0, 1], [2]], (s) => (s & 4 && s & 3 ? 1 : 0));
    [0.25, 0.25, 0.5].forEach((share, i) => {
      expect(shares[i]).toBeCloseTo(share, 12);
    });
  });

  // Axioms of the value (Owen 1977): efficiency, null player, symmetry within a union, and the unions' own game.
  test('of any game shares the whole, gives nothing to who changes nothing, and its unions share as players do', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: -5, max: 5, noNaN: true }), { minLength: 16, maxLength: 16 }), (worth) => {
        const game: Game = (s) => (s & 15 ? worth[s & 15]! : 0);
        const groups = [[0, 1], [2], [3, 4]];
        const shares = owen(groups, game);
        expect(shares.reduce((sum, v) => sum + v, 0)).toBeCloseTo(game(15), 9);
        expect(shares[4]).toBe(0);
        const masks = [3, 4, 24];
        const unions = shapley(3, (s) => game(masks.reduce((all, m, i) => (s & (1 << i) ? all | m : all), 0)));
        groups.forEach((members, g) => {
          expect(members.reduce((sum, i) => sum + shares[i]!, 0)).toBeCloseTo(unions[g]!, 9);
        });
      }),
      { seed: 20, numRuns: 50 },
    );
  });
});
