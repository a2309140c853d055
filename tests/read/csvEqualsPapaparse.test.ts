import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, test } from 'vitest';
import { csv } from '../../src/read/csv.ts';
import { inPieces } from './readText.ts';

// The judge is papaparse for the cells and Number() for their values; the reader under test shares neither.

const digits = (most: number) => fc.stringMatching(new RegExp(`^\\d{1,${most}}$`));
const number = fc.oneof(
  {
    weight: 4,
    arbitrary: fc
      .tuple(fc.constantFrom('', '-'), digits(6), fc.constantFrom('', '.'), digits(8))
      .map(([sign, whole, point, part]) => (point ? `${sign}${whole}.${part}` : `${sign}${whole}`)),
  },
  { weight: 2, arbitrary: fc.double({ noNaN: true, noDefaultInfinity: true }).map(String) },
  { weight: 1, arbitrary: fc.tuple(digits(24), digits(24)).map(([whole, part]) => `${whole}.${part}`) },
  {
    weight: 1,
    arbitrary: fc
      .tuple(fc.constantFrom('', '-', '+'), digits(3), fc.constantFrom('e', 'E'), fc.integer({ min: -30, max: 30 }))
      .map(([sign, m, e, x]) => `${sign}${m}${e}${x}`),
  },
  fc.constantFrom(
    '0',
    '-0',
    '.5',
    '5.',
    '-.25',
    '+1',
    '00012',
    '1e0',
    '9007199254740993',
    '0.1',
    '123456789012345',
    '1234567890123456',
  ),
);
const empty = fc.constant('');
const table = fc.integer({ min: 2, max: 8 }).chain((width) =>
  fc.record({
    width: fc.constant(width),
    rows: fc.array(
      // The first cell is always a number, as a time is.
      fc.tuple(
        number,
        ...Array.from({ length: width - 1 }, () =>
          fc.oneof({ weight: 5, arbitrary: number }, { weight: 1, arbitrary: empty }),
        ),
      ),
      { minLength: 1, maxLength: 40 },
    ),
    delimiter: fc.constantFrom(',', ';', '\t'),
    lineEnd: fc.constantFrom('\n', '\r\n', '\r'),
    quoted: fc.boolean(),
    skipped: fc.subarray(Array.from({ length: width }, (_, c) => c)),
    pieces: fc.array(fc.integer({ min: 1, max: 60 }), { minLength: 1, maxLength: 5 }),
  }),
);

describe('the byte parser', () => {
  test('equals papaparse and Number() bit by bit, whatever the pieces the bytes come in', async () => {
    await fc.assert(
      fc.asyncProperty(table, async ({ width, rows, delimiter, lineEnd, quoted, skipped, pieces }) => {
        const headings = Array.from({ length: width }, (_, i) => `h${i}`);
        const cell = (text: string): string => (quoted && text !== '' ? `"${text}"` : text);
        const text = [headings, ...rows].map((row) => row.map(cell).join(delimiter)).join(lineEnd) + lineEnd;
        const expected = Papa.parse<string[]>(text, {
          delimiter,
          newline: lineEnd as '\n',
          skipEmptyLines: true,
        }).data.slice(1);

        const read = await csv.read(inPieces(new TextEncoder().encode(text), pieces), {
          file: 'a.csv',
          decimal: '.',
          wanted: (heading) => !skipped.includes(Number(heading.slice(1))),
        });
        expect(read.headings).toEqual(headings);
        expect(read.rows).toBe(expected.length);
        expected.forEach((row, r) => {
          row.forEach((text, c) => {
            const value = text === '' ? Number.NaN : Number(text);
            const got = skipped.includes(c) ? value : read.columns[c]![r]!;
            if (!Object.is(got, value)) throw new Error(`row ${r}, column ${c}: ${JSON.stringify(text)} became ${got}`);
          });
        });
        expect(read.problems).toEqual([]);
        expect(read.cut).toBeNull();
      }),
      { numRuns: 400 },
    );
  });
});
