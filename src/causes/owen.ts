/** A game: the worth of a set of players, given as a bit mask (player i is bit i). */
export type Game = (players: number) => number;

/**
 * The Owen value: each player's share of game(all) − game(none) where players come in groups. First the groups share as
 * if each were one player, then the members of a group share what it got, each order of joining counted alike. Groups
 * of one make it the Shapley value. Shares sum to the whole exactly but for rounding; a player that never changes
 * anything gets 0; who changes the same gets the same.
 *
 * @param groups players of each group; every player from 0 on in exactly one
 * @returns one share a player
 * Source: G. Owen, Values of games with a priori unions, Lect. Notes Econ. Math. Syst. 141 (1977) 76; L. S. Shapley,
 * Contributions to the Theory of Games II (1953) 307.
 */
export function owen(groups: readonly (readonly number[])[], game: Game): Float64Array {
  const shares = new Float64Array(groups.reduce((sum, members) => sum + members.length, 0));
  const masks = groups.map((members) => maskOf(members));
  for (const [g, members] of groups.entries()) {
    const others = masks.filter((_, k) => k !== g);
    for (let joined = 0; joined < 1 << others.length; joined++) {
      let outside = 0;
      for (let k = 0; k < others.length; k++) if (joined & (1 << k)) outside |= others[k]!;
      const outer = weight(bits(joined), groups.length);
      for (let inside = 0; inside < 1 << members.length; inside++) {
        const inner = weight(bits(inside), members.length);
        let before = outside;
        for (let k = 0; k < members.length; k++) if (inside & (1 << k)) before |= 1 << members[k]!;
        for (let k = 0; k < members.length; k++) {
          if (inside & (1 << k)) continue;
          const player = members[k]!;
          shares[player]! += outer * inner * (game(before | (1 << player)) - game(before));
        }
      }
    }
  }
  return shares;
}

/** The Shapley value of a game of `players` players. */
export function shapley(players: number, game: Game): Float64Array {
  return owen(
    Array.from({ length: players }, (_, i) => [i]),
    game,
  );
}

/** Probability that exactly a given set of this size has joined before a given one of n players. */
function weight(size: number, n: number): number {
  let w = 1 / n;
  for (let k = 1; k <= size; k++) w *= k / (n - k);
  return w;
}

function bits(mask: number): number {
  let count = 0;
  for (let rest = mask; rest; rest &= rest - 1) count++;
  return count;
}

function maskOf(players: readonly number[]): number {
  return players.reduce((mask, player) => mask | (1 << player), 0);
}
