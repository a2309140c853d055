import { fileURLToPath } from 'node:url';

/** A file that the site needs beside its pages: where it is now, and its site path. */
export interface FontFile {
  readonly from: string;
  readonly to: string;
}

interface Face {
  readonly family: 'Source Serif 4' | 'Inter';
  readonly script: keyof typeof RANGES;
  readonly style: 'normal' | 'italic';
  readonly weight: 400 | 500 | 600;
}

const LATIN =
  'U+0000-00FF,U+0131,U+0152-0153,U+02BB-02BC,U+02C6,U+02DA,U+02DC,U+0304,U+0308,U+0329,U+2000-206F,U+20AC,U+2122,U+2191,U+2193,U+2212,U+2215,U+FEFF,U+FFFD';
const LATIN_EXTENDED =
  'U+0100-02BA,U+02BD-02C5,U+02C7-02CC,U+02CE-02D7,U+02DD-02FF,U+0304,U+0308,U+0329,U+1D00-1DBF,U+1E00-1E9F,U+1EF2-1EFF,U+2020,U+20A0-20AB,U+20AD-20C0,U+2113,U+2C60-2C7F,U+A720-A7FF';
const GREEK = 'U+0370-0377,U+037A-037F,U+0384-038A,U+038C,U+038E-03A1,U+03A3-03FF';

const RANGES = { latin: LATIN, 'latin-ext': LATIN_EXTENDED, greek: GREEK } as const;

/** Every script in every weight: a letter is only looked for among the faces of the weight that is asked for. */
const FACES: readonly Face[] = (['latin', 'latin-ext', 'greek'] as const).flatMap((script) => [
  ...([400, 500, 600] as const).map(
    (weight) => ({ family: 'Source Serif 4', script, style: 'normal', weight }) as const,
  ),
  { family: 'Source Serif 4', script, style: 'italic', weight: 400 },
  ...([400, 600] as const).map((weight) => ({ family: 'Inter', script, style: 'normal', weight }) as const),
]);

const PACKAGES = { 'Source Serif 4': 'source-serif-4', Inter: 'inter' } as const;

const nameOf = ({ family, script, style, weight }: Face): string =>
  `${PACKAGES[family]}-${script}-${weight}-${style}.woff2`;

/** The faces as CSS of a style sheet in the site's root. */
export function fontFaces(): string {
  return FACES.map(
    (face) =>
      `@font-face{font-family:'${face.family}';font-style:${face.style};font-weight:${face.weight};font-display:swap;src:url(fonts/${nameOf(face)}) format('woff2');unicode-range:${RANGES[face.script]}}`,
  ).join('');
}

/** Which font files a site needs: a browser asks for a face only where a page has a letter of its range. */
export class FontsOf {
  readonly #missing = new Map(
    (Object.keys(RANGES) as Face['script'][]).map((script) => [script, lettersOf(RANGES[script])]),
  );

  /** Takes note of the letters of a page, a style sheet or a script. */
  read(text: string): void {
    if (this.#missing.size === 0) return;
    // Most letters of a page are ASCII, and of the others it has few different ones.
    const letters = [...new Set(text.match(/[^\0-\x7f]/g)), /[\0-\x7f]/.exec(text)?.[0] ?? ''].join('');
    for (const [script, range] of this.#missing) if (range.test(letters)) this.#missing.delete(script);
  }

  /** The files behind the faces of what was read, and the licences they are under, to be copied into the site. */
  files(): FontFile[] {
    const at = (family: Face['family'], path: string): string =>
      fileURLToPath(import.meta.resolve(`@fontsource/${PACKAGES[family]}/${path}`));
    return [
      ...FACES.filter(({ script }) => !this.#missing.has(script)).map((face) => ({
        from: at(face.family, `files/${nameOf(face)}`),
        to: `fonts/${nameOf(face)}`,
      })),
      ...(['Source Serif 4', 'Inter'] as const).map((family) => ({
        from: at(family, 'LICENSE'),
        to: `fonts/${PACKAGES[family]}-licence.txt`,
      })),
    ];
  }
}

/** What finds a letter of a CSS range such as `U+0000-00FF,U+0131`. */
const lettersOf = (range: string): RegExp =>
  new RegExp(
    `[${range
      .replaceAll('U+', '')
      .replace(/[0-9A-F]{4}/g, '\\u$&')
      .replaceAll(',', '')}]`,
  );
