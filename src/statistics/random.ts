/** A stream of random numbers that its seed fixes. */
export interface Random {
  /** At least 0, below 1. */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
  /** A whole number at least 0 and below `count`. */
  below(count: number): number;
}

/**
 * Random numbers for resampling, the same for the same seed on every machine.
 *
 * @param seed whole number, of which 32 bits count; `seedOf` makes one of the inputs
 *
 * Method: xoshiro128** (Blackman & Vigna, ACM Trans. Math. Softw. 47 (2021) 36); normals by Marsaglia & Bray's polar
 * method, SIAM Rev. 6 (1964) 260.
 */
export function randomFrom(seed: number): Random {
  const state = new Uint32Array(4);
  // The state is filled by splitmix, as the authors advise: a seed of few bits set would start badly.
  let mixed = seed >>> 0;
  for (let i = 0; i < 4; i++) {
    mixed = (mixed + 0x9e3779b9) >>> 0;
    let z = mixed;
    z = Math.imul(z ^ (z >>> 16), 0x85ebca6b);
    z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35);
    state[i] = z ^ (z >>> 16);
  }
  const bits = (): number => {
    const [a, b, c, d] = state as unknown as [number, number, number, number];
    const five = Math.imul(b, 5);
    const result = Math.imul((five << 7) | (five >>> 25), 9);
    const shifted = b << 9;
    const third = c ^ a;
    const fourth = d ^ b;
    state[1] = b ^ third;
    state[0] = a ^ fourth;
    state[2] = third ^ shifted;
    state[3] = (fourth << 11) | (fourth >>> 21);
    return result >>> 0;
  };
  const uniform = (): number => bits() / 2 ** 32;
  let spare = Number.NaN;
  return {
    uniform,
    below: (count) => Math.floor(uniform() * count),
    normal() {
      if (!Number.isNaN(spare)) {
        const kept = spare;
        spare = Number.NaN;
        return kept;
      }
      for (;;) {
        const [x, y] = [2 * uniform() - 1, 2 * uniform() - 1];
        const r = x * x + y * y;
        if (r >= 1 || r === 0) continue;
        const scale = Math.sqrt((-2 * Math.log(r)) / r);
        spare = y * scale;
        return x * scale;
      }
    },
  };
}

/** A seed from the inputs of a computation: the same inputs, the same seed. Method: FNV-1a over their text. */
export function seedOf(...inputs: readonly (string | number | ArrayLike<number>)[]): number {
  let hash = 0x811c9dc5;
  for (const input of inputs) {
    const text = typeof input === 'object' ? Array.from(input).join(' ') : String(input);
    for (let i = 0; i <= text.length; i++)
      hash = Math.imul(hash ^ (i < text.length ? text.charCodeAt(i) : 0), 0x01000193);
  }
  return hash >>> 0;
}
