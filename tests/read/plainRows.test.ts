import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import asc from 'assemblyscript/asc';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { CsvRows } from '../../src/read/csvRows.ts';
import type { Dialect } from '../../src/read/dialect.ts';
import { Lines } from '../../src/read/lines.ts';
import { PlainRows } from '../../src/read/plainRows.ts';

const dialect = (of: Partial<Dialect> = {}): Dialect => ({
  delimiter: ',',
  decimal: '.',
  lineEnd: '\n',
  headLines: 0,
  headingLine: 1,
  headings: [],
  unitRow: [],
  cellUnits: [],
  kinds: [],
  named: true,
  ...of,
});

describe('rows of plain numbers', () => {
  const ROW = '0.25,-17,x,+3.,, .5 ,y';
  const PLAN = { width: 7, columns: [0, 1, 3, 4, 5], isText: [], mostRows: 8 };
  const VALUES = [0.25, -17, 3, Number.NaN, 0.5];

  test('are taken many at a time', () => {
    const rows = new PlainRows(dialect(), PLAN);
    const text = `${ROW}\n`.repeat(5);
    expect(rows.take(Buffer.from(text), 0, 8)).toBe(5);
    expect(rows.next).toBe(text.length);
    for (const [column, values] of rows.values.entries())
      expect([...values.subarray(0, 5)]).toEqual(new Array(5).fill(VALUES[column]));
  });

  test.each([
    ['a quote in a cell that is read', '0.25,"-17",x,3,,5,y'],
    ['a quote in a cell that is not', '0.25,-17,"x",3,,5,y'],
    ['a quote behind the last cell that is read', '0.25,-17,x,3,,5,"y"'],
    ['a word', '0.25,nought,x,3,,5,y'],
    ['an exponent', '0.25,1e3,x,3,,5,y'],
    ['more digits than are exact', '0.25,1234567890123456,x,3,,5,y'],
    ['a sign alone', '0.25,-,x,3,,5,y'],
    ['a point alone', '0.25,.,x,3,,5,y'],
    ['a blank alone', '0.25, ,x,3,,5,y'],
    ['a cell less', '0.25,-17,x,3,,5'],
    ['a cell more', '0.25,-17,x,3,,5,y,z'],
    ['far fewer cells', '0.25'],
    ['a comment', '# 0.25,-17,x,3,,5,y'],
    ['nothing', ''],
    ['zeros', '\0\0\0'],
    ['a break that ends the bytes', null],
  ])('end before a line with %s', (_, line) => {
    const rows = new PlainRows(dialect(), PLAN);
    const text = line === null ? `${ROW}\n${ROW}\n0.25,-1` : `${ROW}\n${ROW}\n${line}\n${ROW}\n`;
    expect(rows.take(Buffer.from(text), 0, 8)).toBe(2);
    expect(rows.next).toBe(2 * (ROW.length + 1));
    expect(rows.startOf(1)).toBe(ROW.length + 1);
    expect(rows.take(Buffer.from(text), rows.next, 8)).toBe(0);
  });
});

test('a piece larger than the room, more rows than a block holds, and a line in between that is none', () => {
  const rows = new CsvRows(dialect({ headLines: 1 }), ['time', 'note', 'speed'], [true, false, true], 'a.csv');
  const cut = new Lines('a.csv', dialect({ headLines: 1 }), rows.take, rows.many);
  const note = 'a note that nobody asked for and that makes the piece a large one';
  const count = 30_000;
  const lines = Array.from({ length: count }, (_, i) => `${i / 100},${note},${i % 977}.5`);
  lines[20_000] = '200,gone';
  const bytes = Buffer.from(`time,note,speed\n${lines.join('\n')}\n`);
  expect(bytes.length).toBeGreaterThan(2 << 20);
  cut.push(bytes);
  cut.finish();
  expect(rows.rows).toBe(count);
  expect(rows.lineOfRow(25_000)).toBe(25_002);
  expect(rows.faults.problems(count, [])).toMatchObject([{ code: 'ROW_RAGGED', place: { line: 20_002 } }]);
  const [time, none, speed] = rows.columns();
  expect(none).toBeNull();
  const read = (value: number, i: number) => (i === 20_000 ? Number.NaN : value);
  expect(time).toEqual(Float64Array.from({ length: count }, (_, i) => read(i / 100, i)));
  expect(speed).toEqual(Float64Array.from({ length: count }, (_, i) => read((i % 977) + 0.5, i)));
});

test('texts are left to whoever can read them, and a heading among them is no row', () => {
  const as = dialect({ headings: ['time', 'speed'], kinds: ['clock', 'number'] });
  const rows = new CsvRows(as, ['time', 'speed'], [true, true], 'a.csv');
  const cut = new Lines('a.csv', as, rows.take, rows.many);
  cut.push(Buffer.from('10:15:00,1\n10:15:01.5,2\ntime,2\n10:15:02,3\nlater,4\n5,5\n'));
  cut.finish();
  const [time, speed] = rows.columns();
  expect([...time!]).toEqual([36_900, 36_901.5, 36_902, Number.NaN, 5]);
  expect([...speed!]).toEqual([1, 2, 3, 4, 5]);
  expect([0, 1, 2, 3, 4].map((row) => rows.lineOfRow(row))).toEqual([1, 2, 4, 5, 6]);
  expect(rows.faults.problems(5, [])).toMatchObject([
    { code: 'HEADING_REPEATED', place: { line: 3 } },
    { code: 'CELL_UNREADABLE', place: { line: 5, column: 'time' } },
  ]);
});

test('the heading in every other row is looked at once, with the rows around it', () => {
  const as = dialect({ headings: ['time', 'speed'], kinds: ['clock', 'number'] });
  const rows = new CsvRows(as, ['time', 'speed'], [true, true], 'a.csv');
  const many = rows.many!;
  let asked = 0;
  const counting = {
    get next() {
      return many.next;
    },
    take: (data: Buffer, start: number, line: number) => {
      asked++;
      return many.take(data, start, line);
    },
  };
  const cut = new Lines('a.csv', as, rows.take, counting);
  cut.push(Buffer.from('10:15:00,1\ntime,2\n'.repeat(10_000)));
  cut.finish();
  expect(rows.rows).toBe(10_000);
  expect(rows.lineOfRow(9_999)).toBe(19_999);
  // A block of 8192 rows has room for half as many each time, so it is asked 14 times at most; these rows fill two.
  expect(asked).toBeLessThanOrEqual(28);
});

/** Pieces that lines are made of, plain ones more often than not. */
const cell = fc.oneof(
  { weight: 12, arbitrary: fc.double({ noNaN: true, min: -1e6, max: 1e6 }).map((x) => x.toFixed(3)) },
  { weight: 6, arbitrary: fc.integer({ min: -9, max: 100_000 }).map(String) },
  fc.constantFrom(
    '',
    ' ',
    '-',
    '.',
    '1e5',
    '12 ',
    ' 12',
    '+7',
    '-0',
    '"1"',
    '"',
    'a"b',
    'a',
    '10:15:00',
    '\0',
    '#',
    '\r',
  ),
  fc.constantFrom('10:15:00', '10:15:00.25', '2026-01-08T10:15:00Z', '2026-01-08', ' 10:15:01 ', 'h0', 'h1', 'h2'),
  fc.constantFrom('123456789012345', '1234567890123456', '1,5', '5.', '.5', 'a long cell that nobody reads', 'é'),
);

test('taken many at a time or one by one, lines give the same', () => {
  const log = fc.record({
    delimiter: fc.constantFrom(',', ';', '\t'),
    decimal: fc.constantFrom('.', ','),
    lineEnd: fc.constantFrom('\n', '\r'),
    between: fc.constantFrom('\n', '\r\n', '\r'),
    headLines: fc.nat(2),
    wanted: fc.array(fc.boolean(), { minLength: 1, maxLength: 24 }),
    kinds: fc.array(
      fc.constantFrom(null, null, 'number' as const, 'clock' as const, 'instant' as const, 'date' as const),
    ),
    widths: fc.array(fc.constantFrom(0, 0, 0, 0, 0, 0, -1, 1, 2), { maxLength: 30 }),
    cells: fc.array(cell, { minLength: 1, maxLength: 120 }),
    ends: fc.boolean(),
    pieces: fc.array(fc.integer({ min: 1, max: 400 }), { minLength: 1, maxLength: 4 }),
  });
  fc.assert(
    fc.property(log, ({ wanted, widths, cells, between, ends, pieces, ...of }) => {
      let at = 0;
      const lines = widths.map((more) =>
        Array.from({ length: Math.max(0, wanted.length + more) }, () => cells[at++ % cells.length]).join(of.delimiter),
      );
      const bytes = Buffer.from(lines.join(between) + (ends ? between : ''));
      const read = (many: boolean) => {
        const headings = wanted.map((_, i) => `h${i}`);
        const as = dialect({ ...of, headings });
        const rows = new CsvRows(as, headings, wanted, 'a.csv');
        const cut = new Lines('a.csv', as, rows.take, many ? rows.many : null);
        for (let from = 0, i = 0; from < bytes.length; i++) {
          const to = from + pieces[i % pieces.length]!;
          // As where all pieces are read to one place.
          const piece = Buffer.from(bytes.subarray(from, to));
          cut.push(piece);
          rows.letGo();
          piece.fill(0x37);
          from = to;
        }
        cut.finish();
        const count = rows.rows;
        return {
          columns: rows.columns(),
          lines: Array.from({ length: count }, (_, row) => rows.lineOfRow(row)),
          stamps: rows.stamps,
          cut: rows.cut,
          faults: rows.faults.problems(count, []),
        };
      };
      expect(read(true)).toEqual(read(false));
    }),
    { numRuns: 1000 },
  );
});

/** After a change to the source: `npx vitest -u --config tests/vitest.config.ts tests/read/plainRows.test.ts`. */
test('what is run is what the compiler makes of the source', async () => {
  const read = fileURLToPath(new URL('../../src/read', import.meta.url));
  let module = '';
  const { error, stderr } = await asc.main(
    'plainRows.as.ts --outFile rows.wasm -O3 --enable simd --runtime stub --noAssert --initialMemory 50 --maximumMemory 50 --baseDir'
      .split(' ')
      .concat(read),
    {
      writeFile: (_, content) => {
        module = Buffer.from(content).toString('base64');
      },
    },
  );
  expect(`${error ?? ''}${stderr}`).toBe('');
  await expect(
    `// Compiled from plainRows.as.ts; a test compares the two and, told to, writes this file.\nexport const MODULE =\n  '${module}';\n`,
  ).toMatchFileSnapshot(join(read, 'plainRows.wasm.ts'));
});
