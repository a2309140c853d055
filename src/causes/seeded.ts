/** Standard normal numbers that depend on a name only: the same on every machine and in every order of work. */
export type Normals = () => number;

/**
 * A stream of normals for a name: sfc32 seeded by FNV-1a, normals by the polar form of Box and Muller.
 *
 * @param name says whose doubt is drawn; different names give independent streams
 */
export function seededNormals(name: string): Normals {
  let [a, b, c, counter] = [hash(name), hash(`${name}/b`), hash(`${name}/c`), 1];
  const uniform = (): number => {
    const t = (a + b + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + t) | 0;
    return (t >>> 0) / 4294967296;
  };
  for (let i = 0; i < 16; i++) uniform();
  let spare = Number.NaN;
  return () => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    for (;;) {
      const [u, v] = [2 * uniform() - 1, 2 * uniform() - 1];
      const q = u * u + v * v;
      if (q === 0 || q >= 1) continue;
      const f = Math.sqrt((-2 * Math.log(q)) / q);
      spare = v * f;
      return u * f;
    }
  };
}

function hash(name: string): number {
  let value = 0x811c9dc5;
  for (let i = 0; i < name.length; i++) value = Math.imul(value ^ name.charCodeAt(i), 0x01000193);
  return value >>> 0;
}
