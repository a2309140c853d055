/** Random numbers that depend on nothing but a text. */
export interface Draws {
  /** In [0, 1). */
  uniform(): number;
  normal(): number;
  between(low: number, high: number): number;
  pick<T>(list: readonly T[]): T;
}

/** A small fast counting generator (three words of state and a counter), seeded by a hash of the text (FNV-1a). */
export function draws(seed: string): Draws {
  let hash = 0x811c9dc5;
  for (let i = 0; i < seed.length; i++) hash = Math.imul(hash ^ seed.charCodeAt(i), 0x01000193);
  let [a, b, c, count] = [hash | 0, (hash ^ 0x9e3779b9) | 0, (hash ^ 0x7f4a7c15) | 0, 1];
  const uniform = (): number => {
    const sum = (((a + b) | 0) + count) | 0;
    count = (count + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + sum;
    return (sum >>> 0) / 4294967296;
  };
  for (let i = 0; i < 15; i++) uniform();
  let spare: number | null = null;
  return {
    uniform,
    normal: () => {
      if (spare !== null) {
        const value = spare;
        spare = null;
        return value;
      }
      const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
      const angle = 2 * Math.PI * uniform();
      spare = radius * Math.sin(angle);
      return radius * Math.cos(angle);
    },
    between: (low, high) => low + (high - low) * uniform(),
    pick: (list) => list[Math.floor(uniform() * list.length)]!,
  };
}
