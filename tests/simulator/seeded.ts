/** A stream of reproducible random numbers: same name, same numbers on every machine. */
export interface Seeded {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
}

/** FNV-1a over the UTF-16 units of a name, as a 32-bit seed. */
function seedOf(name: string): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < name.length; i++) hash = Math.imul(hash ^ name.charCodeAt(i), 0x01000193);
  return hash >>> 0;
}

/**
 * Random numbers that depend on a name only (sfc32 generator; normals by the polar form of Box and Muller).
 * Streams of different names are independent, so that a new session never changes the numbers of another.
 */
export function seeded(name: string): Seeded {
  let a = seedOf(name);
  let b = seedOf(`${name}/b`);
  let c = seedOf(`${name}/c`);
  let counter = 1;
  const next = (): number => {
    const t = (a + b + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + t) | 0;
    return (t >>> 0) / 4294967296;
  };
  for (let i = 0; i < 16; i++) next();
  let spare = Number.NaN;
  const normal = (): number => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    for (;;) {
      const u = 2 * next() - 1;
      const v = 2 * next() - 1;
      const q = u * u + v * v;
      if (q === 0 || q >= 1) continue;
      const f = Math.sqrt((-2 * Math.log(q)) / q);
      spare = v * f;
      return u * f;
    }
  };
  return { uniform: next, normal };
}
