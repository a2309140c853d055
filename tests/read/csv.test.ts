import { describe, expect, test } from 'vitest';
import { csv } from '../../src/read/csv.ts';
import { sniffDialect, splitLine } from '../../src/read/dialect.ts';
import { distinctHeadings, headingParts } from '../../src/read/headings.ts';
import { readCheck, referenceFolder, withReference } from '../reference/folder.ts';
import { codes, inPieces, readBytes } from './readText.ts';

/** The same three rows in every dialect: what is read must be the same as well. */
const SPEED_MPS = [10, 20.5, -0.25];
const PLAIN = 'time [s],speed [m/s],note\n0,10,a\n0.5,20.5,b\n1,-0.25,c\n';
const MINIMAL = 'time [s],speed [m/s]\n0,10\n0.5,20.5\n1,-0.25\n';

async function speeds(content: string | Uint8Array) {
  const { recording, problems } = await readBytes(content);
  const { timeS, channels } = recording!;
  return {
    timeS: [...timeS],
    speed: [...channels.get('speed')!],
    problems: codes(problems),
    recording: recording!,
    all: problems,
  };
}

describe('dialects of CSV that say the same', () => {
  test.each([
    ['commas', PLAIN],
    ['semicolons', PLAIN.replaceAll(',', ';')],
    ['tabs', PLAIN.replaceAll(',', '\t')],
    ['semicolons and decimal commas', PLAIN.replaceAll(',', ';').replaceAll('.', ',')],
    ['tabs and decimal commas', PLAIN.replaceAll(',', '\t').replaceAll('.', ',')],
    ['quoted decimal commas', 'time [s],speed [m/s]\n"0","10"\n"0,5","20,5"\n"1","-0,25"\n'],
    ['a byte order mark', `\uFEFF${PLAIN}`],
    ['CR LF', PLAIN.replaceAll('\n', '\r\n')],
    ['lone CR', PLAIN.replaceAll('\n', '\r')],
    ['CR CR LF', PLAIN.replaceAll('\n', '\r\r\n')],
    ['LF and CR LF in turn', 'time [s],speed [m/s]\r\n0,10\n0.5,20.5\r\n1,-0.25\n'],
    ['everything quoted', '"time [s]","speed [m/s]"\n"0","10"\n"0.5","20.5"\n"1","-0.25"\n'],
    ['padded cells', '  time [s],  speed [m/s]\n   0.0,   10.00\n   0.5,   20.50\n   1.0,   -0.25\n'],
    ['a unit row', 'time,speed,gear\ns,m/s,1\n0,10,1\n0.5,20.5,1\n1,-0.25,1\n'],
    ['a unit row in brackets', 'time;speed\n[s];[m/s]\n0;10\n0.5;20.5\n1;-0.25\n'],
    ['a unit in the cells', 'time [s],speed\n0,10 m/s\n0.5,20.5 m/s\n1,-0.25 m/s\n'],
    ['units in parentheses', 'time(s),speed (m/s)\n0,10\n0.5,20.5\n1,-0.25\n'],
    ['comments', '# first\n# second, with a comma\ntime [s],speed [m/s]\n0,10\n# between\n0.5,20.5\n1,-0.25\n'],
    ['the heading as a comment', '# time [s],speed [m/s]\n0,10\n0.5,20.5\n1,-0.25\n'],
    ['a preamble', 'Logger;v2\n\nRun:;3;Machine:;A\n\ntime [s],speed [m/s]\n0,10\n0.5,20.5\n1,-0.25\n'],
    ['a preamble longer than the log', `${'words only\n'.repeat(20)}${MINIMAL}`],
    ['blank lines', 'time [s],speed [m/s]\n\n0,10\n\n0.5,20.5\n1,-0.25\n\n'],
    ['a delimiter behind the last cell', MINIMAL.replaceAll('\n', ',\n')],
    ['a delimiter behind the last cell of the rows', 'time [s],speed [m/s]\n0,10,\n0.5,20.5,\n1,-0.25,\n'],
    ['exponents and signs', 'time [s],speed [m/s]\n+0,1e1\n5E-1,+2.05e+1\n1.,-.25\n'],
    ['columns in another order', 'speed [m/s],note,time [s]\n10,a,0\n20.5,b,0.5\n-0.25,c,1\n'],
  ])('%s', async (_, text) => {
    const { timeS, speed, problems } = await speeds(text);
    expect(timeS).toEqual([0, 0.5, 1]);
    expect(speed).toEqual(SPEED_MPS);
    expect(problems).toEqual([]);
  });

  test('UTF-16 of both orders is read, and named', async () => {
    for (const [name, bytes] of [
      ['utf-16le', Buffer.from(`\uFEFF${PLAIN}`, 'utf16le')],
      ['utf-16be', Buffer.from(`\uFEFF${PLAIN}`, 'utf16le').swap16()],
      ['utf-16le', Buffer.from(PLAIN, 'utf16le')],
    ] as const) {
      const { speed, all } = await speeds(new Uint8Array(bytes));
      expect(speed).toEqual(SPEED_MPS);
      expect(all).toMatchObject([{ code: 'ENCODING', severity: 'note', found: `text in ${name}` }]);
    }
  });

  test('Windows-1252 is read, and named', async () => {
    const { recording, problems } = await readBytes(Buffer.from('time [s],roll [°]\n0,1\n1,2\n', 'latin1'), {
      rules: { roll: { from: 'roll', unit: 'deg' } },
    });
    expect(recording?.columns.map(({ column }) => column)).toEqual(['time [s]', 'roll [°]']);
    expect(problems).toMatchObject([{ code: 'ENCODING', found: 'bytes that are not UTF-8, read as windows-1252' }]);
  });

  test('what the session file says of the decimal sign wins', async () => {
    const { recording } = await readBytes('time [s];speed [m/s]\n0;1\n1;2\n2;3,5\n', { decimal: ',' });
    expect([...recording!.channels.get('speed')!]).toEqual([1, 2, 3.5]);
  });

  test('stamps that begin long after the heading', async () => {
    const { timeS } = await speeds(`time,speed [m/s]\n${',1\n'.repeat(200)}10:15:00,2\n10:15:01,3\n`);
    expect(timeS.slice(199)).toEqual([Number.NaN, 36_900, 36_901]);
  });

  test('thousands of columns', async () => {
    const extra = Array.from({ length: 5000 }, (_, i) => `extra ${i}`);
    const row = (t: number) => [t, ...extra.map((_, i) => i + t / 10), t * 2].join(',');
    const text = `time [s],${extra.join(',')},speed [m/s]\n${[0, 1, 2].map(row).join('\n')}\n`;
    const { recording, problems } = await readBytes(text);
    expect([...recording!.channels.get('speed')!]).toEqual([0, 2, 4]);
    expect(recording!.otherColumns).toHaveLength(5000);
    expect(problems).toEqual([]);
  });

  test('no heading: the columns are numbered and named by the session file', async () => {
    const { recording, problems } = await readBytes('0,10\n1,20\n2,30\n', {
      rules: { time: { from: 'column 1', unit: 's' }, speed: { from: 'column 2', unit: 'm/s' } },
    });
    expect([...recording!.channels.get('speed')!]).toEqual([10, 20, 30]);
    expect(codes(problems)).toEqual(['HEADER_MISSING']);
  });

  test('date and time in two columns', async () => {
    const { recording, problems } = await readBytes(
      'Date,Time,speed [m/s]\n2026/01/08,23:59:59.5,1\n2026/01/09,00:00:00.5,2\n',
    );
    expect([...recording!.timeS]).toEqual([0, 1]);
    // `date -u -d "2026-01-08 23:59:59.5" +%s.%N`
    expect(recording!.epochS).toBe(1767916799.5);
    expect(problems).toEqual([]);
  });

  test('hemispheres behind the degrees', async () => {
    const { recording } = await readBytes('time [s],lat,lon\n0,49.5N,125.25W\n1,49.6N,125.35W\n');
    expect([...recording!.channels.get('lat')!]).toEqual([49.5, 49.6]);
    expect([...recording!.channels.get('lon')!]).toEqual([-125.25, -125.35]);
  });
});

describe('faults in CSV are said with their place', () => {
  test('a ragged row is set aside, counted, and keeps its place', async () => {
    const { timeS, all, recording } = await speeds('time [s],speed [m/s]\n0,1\n0.5\n1,2\n1.5,2,3\n2,3\n');
    expect(timeS).toEqual([0, Number.NaN, 1, Number.NaN, 2]);
    expect(all).toMatchObject([
      {
        code: 'ROW_RAGGED',
        severity: 'warn',
        place: { file: 'run-01.csv', line: 3 },
        found: '2 row(s) with another number of cells than the heading, the first with 1',
      },
    ]);
    expect([0, 1, 2, 3, 4].map((row) => recording.lineOfRow!(row))).toEqual([2, 3, 4, 5, 6]);
  });

  test('a heading repeated after a loss of power, units and comments with it, is passed over', async () => {
    const head = '# logger\ntime,speed\ns,m/s\n';
    const { timeS, all, recording } = await speeds(
      `${head}0,1\n1,2\n${'2,2\n'.repeat(20)}${'\0'.repeat(700)}${head}0,3\n1,4\n`,
    );
    expect(timeS.filter((t) => t !== 2)).toEqual([0, 1, 0, 1]);
    expect(all).toMatchObject([
      { code: 'HEADING_REPEATED', severity: 'note', place: { line: 27 }, found: '2 heading line(s) among the rows' },
    ]);
    expect([0, 1, 22, 23].map((row) => recording.lineOfRow!(row))).toEqual([4, 5, 29, 30]);
  });

  test('words, infinities and numbers beyond a double are not numbers', async () => {
    const cells = ['NaN', '', 'inf', '1e999', '-', '0x1F', '1.2.3', '--5', '1_000'];
    const { speed, all } = await speeds(
      `time [s],speed [m/s]\n9,9\n${cells.map((cell, i) => `${i},${cell}\n`).join('')}`,
    );
    expect(speed).toEqual([9, ...cells.map(() => Number.NaN)]);
    // All but the empty cell.
    expect(all).toMatchObject([
      {
        code: 'CELL_UNREADABLE',
        severity: 'warn',
        place: { line: 3, column: 'speed [m/s]' },
        found: '`inf` and 7 more',
      },
    ]);
  });

  test('words for "no value" alone are only a note', async () => {
    const { all } = await speeds('time [s],speed [m/s]\n0,1\n1,NaN\n2,n/a\n');
    expect(all).toMatchObject([{ code: 'CELL_UNREADABLE', severity: 'note' }]);
  });

  test('a bad cell in the first row does not make it a heading', async () => {
    const { speed, problems } = await speeds('time [s],speed [m/s],gear\n0,oops,1\n1,2,1\n2,3,1\n');
    expect(speed).toEqual([Number.NaN, 2, 3]);
    expect(problems).toEqual(['CELL_UNREADABLE']);
  });

  test('a stamp among numbers, or a number among stamps, is a bad cell and not another kind of column', async () => {
    const { speed, all } = await speeds('time [s],speed [m/s]\n0,1\n1,10:15:00\n2,3\n');
    expect(speed).toEqual([1, Number.NaN, 3]);
    expect(all).toMatchObject([{ code: 'CELL_UNREADABLE', place: { line: 3 } }]);
    const stamps = await speeds('time,speed [m/s]\n2026-01-08T10:00:00Z,1\n0,2\n2026-01-08T10:00:02Z,3\n');
    expect(stamps.timeS).toEqual([0, Number.NaN, 2]);
    expect(stamps.problems).toEqual(['TIME_RANGE']);
  });

  test('zeros before the clock was set are not times', async () => {
    const { timeS, all } = await speeds('time [s],speed [m/s]\n0,1\n1767867300,2\n1767867301,3\n');
    expect(timeS).toEqual([Number.NaN, 0, 1]);
    expect(all).toMatchObject([{ code: 'TIME_RANGE', severity: 'warn', place: { line: 2 } }]);
  });

  test('of two columns with one heading the first counts, and the second can be named', async () => {
    const text = 'time [s],speed [m/s],speed [m/s]\n0,1,2\n1,3,4\n';
    const { speed, all } = await speeds(text);
    expect(speed).toEqual([1, 3]);
    expect(all).toMatchObject([
      {
        code: 'HEADING_TWICE',
        place: { line: 1 },
        found: '1 heading(s) that stand there before, called `speed (2) [m/s]` here',
      },
    ]);
    const other = await readBytes(text, { rules: { speed: { from: 'speed (2)', unit: 'm/s' } } });
    expect([...other.recording!.channels.get('speed')!]).toEqual([2, 4]);
  });

  test.each([
    ['LF', '\n'],
    ['CR LF', '\r\n'],
    ['lone CR', '\r'],
  ])(
    'a log longer than what is looked at first, with %s, is read to its end, and so is the next one',
    async (_, lineEnd) => {
      const log = (first: number): string =>
        ['time [s],speed [m/s]', ...Array.from({ length: 20_000 }, (_, i) => `${i / 8},${first + i / 4}`), ''].join(
          lineEnd,
        );
      for (const first of [5, 70]) {
        const { timeS, speed, problems } = await speeds(log(first));
        expect(timeS).toEqual(Array.from({ length: 20_000 }, (_, i) => i / 8));
        expect(speed).toEqual(Array.from({ length: 20_000 }, (_, i) => first + i / 4));
        expect(problems).toEqual([]);
      }
      // What the logs before have left in memory does not show in rows that are damaged.
      const { speed } = await speeds(['time [s],speed [m/s]', '0,1', '1', '2,', '3,4', ''].join(lineEnd));
      expect(speed).toEqual([1, Number.NaN, Number.NaN, 4]);
    },
  );

  test('a quote that is not closed costs its row only', async () => {
    const { timeS, problems, all } = await speeds('time [s],speed [m/s],note\n0,1,a\n1,2,"b\n2,3,c\n');
    expect(timeS).toEqual([0, Number.NaN, 2]);
    expect(problems).toEqual(['QUOTE_OPEN']);
    expect(all[0]?.place.line).toBe(3);
  });

  test('a time in the year 9999 is not a time', async () => {
    const { timeS, all } = await speeds(
      'time,speed [m/s]\n2026-01-08T10:00:00Z,1\n9999-12-31T00:00:00Z,2\n2026-01-08T10:00:02Z,3\n',
    );
    expect(timeS).toEqual([0, Number.NaN, 2]);
    expect(all).toMatchObject([
      { code: 'CELL_UNREADABLE', place: { line: 3, column: 'time' } },
      { code: 'TIME_MISSING' },
    ]);
  });

  test('milliseconds taken for seconds stop, with the unit as a hint', async () => {
    const { recording, problems } = await readBytes('time [s],speed [m/s]\n1767867300000,1\n1767867300050,2\n');
    expect(recording).toBeNull();
    expect(problems).toMatchObject([
      { code: 'TIME_RANGE', severity: 'stop', remedy: expect.stringContaining('unit: "ms"') },
    ]);
  });

  test('a heading alone, and nothing at all', async () => {
    expect(codes((await readBytes('time [s],speed [m/s]\n')).problems)).toEqual(['LOG_EMPTY']);
    expect(await readBytes('')).toMatchObject({
      recording: null,
      problems: [{ code: 'LOG_EMPTY', found: 'an empty file' }],
    });
  });

  test.each([
    ['binary', Uint8Array.of(0x89, 0x4d, 0x43, 0x41, 0x50, 0x30, 13, 10)],
    ['prose', 'These are words.\nNot a log at all.\n'],
    ['sentences of a receiver', '$GPVTG,309.62,T,,M,0.13,N,0.2,K*6E\n$GPVTG,309.62,T,,M,0.13,N,0.2,K*6E\n'],
    ['HTML', '<!doctype html>\n<html>,</html>\n'],
    ['zeros', new Uint8Array(5000)],
  ])('%s is none of the formats', async (_, content) => {
    const { recording, problems } = await readBytes(content);
    expect(recording).toBeNull();
    expect(problems).toMatchObject([{ code: 'FORMAT_UNKNOWN', severity: 'stop', place: { byte: 0 } }]);
  });
});

describe('headings', () => {
  test('a heading is a name and a unit', () => {
    expect(headingParts('speed [km/h]')).toEqual({ name: 'speed', unit: 'km/h' });
    expect(headingParts('Ground speed')).toEqual({ name: 'Ground speed', unit: null });
    expect(headingParts('vx(m/s)')).toEqual({ name: 'vx', unit: 'm/s' });
    expect(headingParts('speed (GPS)')).toEqual({ name: 'speed (GPS)', unit: null });
    expect(headingParts('speed (2)')).toEqual({ name: 'speed (2)', unit: null });
  });

  test('headings that repeat are numbered without taking a name that is there', () => {
    expect(distinctHeadings(['a', 'a', 'a (2)', 'a']).headings).toEqual(['a', 'a (3)', 'a (2)', 'a (4)']);
  });

  test('a decimal comma does not make the comma the delimiter', () => {
    expect(sniffDialect('a;b\n1,5;2,5\n3,5;4,5\n')).toMatchObject({
      delimiter: ';',
      decimal: ',',
      headings: ['a', 'b'],
    });
  });
});

interface Records {
  readonly rows?: string[][] | null;
  readonly objects?: Record<string, string>[] | Record<string, string>;
}

withReference('records of RFC 4180', () => {
  const { cases } = referenceFolder()
    ? readCheck<{ bytes_latin1: string }, Records>('g-formats/csv.json')
    : { cases: [] };
  /** The reader's own rule where the standard leaves room: blanks around a cell do not count. */
  const records = ({ rows, objects }: Records): string[][] | null => {
    if (rows !== undefined) return rows?.map((row) => row.map((cell) => cell.trim())) ?? null;
    const list = Array.isArray(objects) ? objects : [objects!];
    return [Object.keys(list[0]!), ...list.map((each) => Object.values(each))];
  };
  const number = (cell: string): number => (/^-?\d+(\.\d+)?$/.test(cell) ? Number(cell) : Number.NaN);

  const readable = cases.filter((c) => records(c.out) !== null);
  const numeric = (c: (typeof cases)[number]) =>
    records(c.out)!
      .slice(1)
      .flat()
      .filter((cell) => !Number.isNaN(number(cell))).length > 1;

  test.each(readable.filter(numeric).map((c) => [c.id, c] as const))(
    '%s: every number in its row and column',
    async (_, c) => {
      const [headings, ...rows] = records(c.out)!;
      const table = await csv.read(inPieces(Buffer.from(c.in.bytes_latin1, 'latin1')), {
        file: c.id,
        wanted: () => true,
      });
      expect(table.headings).toEqual(headings);
      expect(table.rows).toBe(rows.length);
      rows.forEach((row, r) => {
        expect(table.columns.map((column) => column![r])).toEqual(row.map(number));
      });
    },
  );

  // Addresses and telephone numbers are no log; their lines are split all the same. The first cell of one case differs
  // between bytes and outcome, so it is left out.
  test.each(readable.filter((c) => !numeric(c)).map((c) => [c.id, c] as const))('%s: split outside quotes', (_, c) => {
    const line = Buffer.from(c.in.bytes_latin1, 'latin1').toString().split('\n')[1]!;
    expect(splitLine(line, ',').slice(1)).toEqual(records(c.out)![1]!.slice(1));
  });

  test.each(cases.filter((c) => c.out.rows === null).map((c) => [c.id, c] as const))(
    '%s: refused or said',
    async (_, c) => {
      const { problems } = await readBytes(Buffer.from(c.in.bytes_latin1, 'latin1'), { everything: true });
      expect(codes(problems).some((code) => ['QUOTE_OPEN', 'CELL_UNREADABLE', 'FORMAT_UNKNOWN'].includes(code))).toBe(
        true,
      );
    },
  );
});
