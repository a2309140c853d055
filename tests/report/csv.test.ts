import Papa from 'papaparse';
import { expect, test } from 'vitest';
import { csv } from '../../src/report/tables/csv.ts';

const cellsOf = (text: string) => Papa.parse<string[]>(text.trimEnd()).data;

test('no cell of text can start a formula', () => {
  // The characters that spreadsheets take for the start of a formula: = + - @ tab.
  const texts = ['=1+1', '@x', '-y', '+z', '\tt'];
  for (const row of cellsOf(
    csv(
      ['a'],
      texts.map((t) => [t]),
    ),
  ).slice(1))
    expect(row[0]).toMatch(/^[^=+\-@\t]/);
});

test('numbers stay numbers, what is missing is empty', () => {
  expect(
    csv(
      ['a', 'b', 'c'],
      [
        [-3, 0.5, null],
        [1e-7, Number.NaN, 0],
      ],
    ),
  ).toBe('a,b,c\n-3,0.5,\n1e-7,,0\n');
});

test('commas, quotes and line breaks come back as they went in', () => {
  const cells = ['a,b', 'say "no"', 'two\nlines', 'é'];
  expect(cellsOf(csv(['w', 'x', 'y', 'z'], [cells]))[1]).toEqual(cells);
});
