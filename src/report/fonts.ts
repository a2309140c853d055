import { fileURLToPath } from 'node:url';

/** A file that the site needs beside its pages: where it is now, and its site path. */
export interface FontFile {
  readonly from: string;
  readonly to: string;
}

interface Face {
  readonly family: 'Source Serif 4' | 'Inter';
  readonly file: string;
  readonly style: 'normal' | 'italic';
  readonly weight: string;
  readonly range: string;
}

const LATIN =
  'U+0000-00FF,U+0131,U+0152-0153,U+02BB-02BC,U+02C6,U+02DA,U+02DC,U+0304,U+0308,U+0329,U+2000-206F,U+20AC,U+2122,U+2191,U+2193,U+2212,U+2215,U+FEFF,U+FFFD';
const LATIN_EXTENDED =
  'U+0100-02BA,U+02BD-02C5,U+02C7-02CC,U+02CE-02D7,U+02DD-02FF,U+0304,U+0308,U+0329,U+1D00-1DBF,U+1E00-1E9F,U+1EF2-1EFF,U+2020,U+20A0-20AB,U+20AD-20C0,U+2113,U+2C60-2C7F,U+A720-A7FF';
const GREEK = 'U+0370-0377,U+037A-037F,U+0384-038A,U+038C,U+038E-03A1,U+03A3-03FF';

const SERIF = { family: 'Source Serif 4', weight: '200 900' } as const;
const SANS = { family: 'Inter', weight: '100 900', style: 'normal' } as const;

/** Optical sizes, which more than double a face, for the upright letters of text and headings alone. */
const FACES: readonly Face[] = [
  { ...SERIF, file: 'source-serif-4-latin-opsz-normal', style: 'normal', range: LATIN },
  { ...SERIF, file: 'source-serif-4-latin-ext-opsz-normal', style: 'normal', range: LATIN_EXTENDED },
  { ...SERIF, file: 'source-serif-4-greek-wght-normal', style: 'normal', range: GREEK },
  { ...SERIF, file: 'source-serif-4-latin-wght-italic', style: 'italic', range: LATIN },
  { ...SERIF, file: 'source-serif-4-greek-wght-italic', style: 'italic', range: GREEK },
  { ...SANS, file: 'inter-latin-wght-normal', range: LATIN },
  { ...SANS, file: 'inter-latin-ext-wght-normal', range: LATIN_EXTENDED },
  { ...SANS, file: 'inter-greek-wght-normal', range: GREEK },
];

const PACKAGES = { 'Source Serif 4': 'source-serif-4', Inter: 'inter' } as const;

/** The faces as CSS of a style sheet in the site's root. */
export function fontFaces(): string {
  return FACES.map(
    ({ family, file, style, weight, range }) =>
      `@font-face{font-family:'${family}';font-style:${style};font-weight:${weight};font-display:swap;src:url(fonts/${file}.woff2) format('woff2');unicode-range:${range}}`,
  ).join('');
}

/**
 * The files behind the faces and the licences they are under, to be copied into the site: a browser asks for a face only
 * where a page has a letter of its range.
 *
 * @param texts of the site, in any order
 */
export async function fontFiles(texts: AsyncIterable<string>): Promise<FontFile[]> {
  const missing = new Map(FACES.map((face) => [face, lettersOf(face.range)]));
  for await (const text of texts) for (const [face, letters] of missing) if (letters.test(text)) missing.delete(face);
  const at = (family: Face['family'], path: string): string =>
    fileURLToPath(import.meta.resolve(`@fontsource-variable/${PACKAGES[family]}/${path}`));
  return [
    ...FACES.filter((face) => !missing.has(face)).map(({ family, file }) => ({
      from: at(family, `files/${file}.woff2`),
      to: `fonts/${file}.woff2`,
    })),
    ...(['Source Serif 4', 'Inter'] as const).map((family) => ({
      from: at(family, 'LICENSE'),
      to: `fonts/${PACKAGES[family]}-licence.txt`,
    })),
  ];
}

/** What finds a letter of a CSS range such as `U+0000-00FF,U+0131`. */
const lettersOf = (range: string): RegExp =>
  new RegExp(
    `[${range
      .replaceAll('U+', '')
      .replace(/[0-9A-F]{4}/g, '\\u$&')
      .replaceAll(',', '')}]`,
  );
