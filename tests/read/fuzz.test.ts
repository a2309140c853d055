import { gunzipSync, gzipSync, zstdCompressSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { PROBLEMS } from '../../src/problem.ts';
import { readCampaignFile } from '../../src/read/campaignFile.ts';
import { readSessionFile } from '../../src/read/sessionFile.ts';
import { codes, readBytes } from './readText.ts';

// What must hold for any bytes whatever: an answer, in time, in bounded memory, and problems that a user can read.
// `GAPBOOK_FUZZ_SECONDS=600` runs each of the properties for ten minutes instead of about a second.

const seconds = Number(process.env['GAPBOOK_FUZZ_SECONDS'] ?? 0);
const LIMIT_MS = 5000;
const LIMIT_MB = 500;

const check = (property: Parameters<typeof fc.assert>[0]): Promise<void> =>
  Promise.resolve(
    fc.assert(
      property as fc.IAsyncProperty<unknown>,
      seconds > 0
        ? {
            numRuns: Number.MAX_SAFE_INTEGER,
            interruptAfterTimeLimit: seconds * 1000,
            markInterruptAsFailure: false,
            endOnFailure: true,
          }
        : { numRuns: 300, interruptAfterTimeLimit: 4000, markInterruptAsFailure: false },
    ),
  );
const fuzz = (name: string, property: () => Parameters<typeof fc.assert>[0]): void =>
  void test(name, () => check(property()), (seconds + 60) * 1000);

const COLUMNS = [
  'time [s]',
  'speed [km/h]',
  'lat [deg]',
  'lon [deg]',
  'roll',
  'gear',
  'Time',
  'Date',
  'heading [deg]',
  'x',
  'fix',
  '"quoted, name"',
];
const cell = fc.oneof(
  { weight: 6, arbitrary: fc.double({ noNaN: true, min: -1e6, max: 1e6 }).map(String) },
  { weight: 3, arbitrary: fc.integer({ min: -100, max: 100_000 }).map(String) },
  fc.constantFrom(
    '',
    'NaN',
    'inf',
    '-',
    '1e999',
    '0x1F',
    '1,5',
    '12.5 km/h',
    '45.1N',
    '"',
    '""',
    '"a',
    'a"b',
    '"1"',
    '\0',
    '#',
    '2026-01-08T10:00:00Z',
    '9999-12-31',
    '10:15:00',
    'é',
    '\u2028',
    '1'.repeat(400),
  ),
  fc.string({ maxLength: 8 }),
);
const delimiter = fc.constantFrom(',', ';', '\t');
const lineEnd = fc.constantFrom('\n', '\r\n', '\r', '\r\r\n');

/** A log with everything that loggers do to it. */
const log = fc
  .tuple(
    delimiter,
    lineEnd,
    fc.array(fc.constantFrom(...COLUMNS), { minLength: 1, maxLength: 8 }),
    fc.array(fc.array(cell, { minLength: 1, maxLength: 9 }), { maxLength: 25 }),
    fc.array(fc.string({ maxLength: 20 }), { maxLength: 3 }),
  )
  .chain(([mark, end, headings, rows, preamble]) => {
    const lines = [...preamble, headings.join(mark), ...rows.map((row) => row.join(mark))];
    return fc
      .array(
        fc.tuple(
          fc.nat(lines.length),
          fc.constantFrom(headings.join(mark), '', '# comment', '\0\0\0', mark.repeat(50)),
        ),
        { maxLength: 3 },
      )
      .map((extra) => {
        for (const [at, line] of extra) lines.splice(at, 0, line);
        return lines.join(end);
      });
  });

const xml = fc.letrec<{ node: string }>((tie) => ({
  node: fc.oneof(
    { maxDepth: 4 },
    fc.oneof(
      fc.double({ noNaN: true }).map(String),
      fc.string({ maxLength: 6 }),
      fc.constantFrom('<!-- c -->', '<![CDATA[<trkpt>]]>', '&amp;', '&b;', '<', '</trkpt>', '<!DOCTYPE a>', '<!ENTITY'),
    ),
    fc
      .tuple(
        fc.constantFrom(
          'trk',
          'trkseg',
          'trkpt',
          'g:trkpt',
          'ele',
          'time',
          'extensions',
          'speed',
          'fix',
          '__proto__',
          'wpt',
          'a b="c"',
          'trkpt lat="1" lon="2"',
          'trkpt lat="95" lon="x"',
        ),
        fc.array(tie('node'), { maxLength: 5 }),
      )
      .map(([name, inside]) => `<${name}>${inside.join('')}</${name.split(' ')[0]}>`),
  ),
})).node;
const gpx = fc
  .array(xml, { maxLength: 12 })
  .map((nodes) => `<gpx version="1.1"><trk><trkseg>${nodes.join('')}</trkseg></trk></gpx>`);

/** Bytes of a text, in some encoding, some of them spoilt, cut, packed. */
const bytesOf = (text: fc.Arbitrary<string>): fc.Arbitrary<Uint8Array> =>
  fc
    .tuple(
      text,
      fc.constantFrom<BufferEncoding>('utf8', 'utf8', 'utf8', 'latin1', 'utf16le'),
      fc.array(fc.tuple(fc.nat(), fc.nat(255)), { maxLength: 4 }),
      fc.option(fc.nat(), { freq: 3 }),
      fc.constantFrom('plain', 'plain', 'gzip', 'zstd', 'gzip spoilt', 'twice'),
    )
    .map(([content, encoding, spoilt, cut, packing]) => {
      let bytes = new Uint8Array(Buffer.from(content, encoding));
      const spoil = (): void => {
        for (const [at, byte] of spoilt) if (bytes.length > 0) bytes[at % bytes.length] = byte;
      };
      if (packing !== 'gzip spoilt') spoil();
      if (packing.startsWith('gzip')) bytes = new Uint8Array(gzipSync(bytes));
      if (packing === 'zstd') bytes = new Uint8Array(zstdCompressSync(bytes));
      if (packing === 'twice') bytes = new Uint8Array(gzipSync(gzipSync(bytes)));
      if (packing === 'gzip spoilt') spoil();
      return cut === null ? bytes : bytes.slice(0, cut % (bytes.length + 1));
    });

const pieces = fc.array(fc.integer({ min: 1, max: 200 }), { minLength: 1, maxLength: 3 });

async function answered(bytes: Uint8Array, sizes: readonly number[]): Promise<void> {
  const start = performance.now();
  const { recording, problems } = await readBytes(bytes, { pieces: sizes, everything: true });
  expect(performance.now() - start).toBeLessThan(LIMIT_MS);
  expect(process.memoryUsage().rss / 1e6).toBeLessThan(LIMIT_MB + 500 * Number(seconds === 0));

  for (const { code, found, expected, remedy, place } of problems) {
    expect(PROBLEMS[code]).toBeDefined();
    expect(Math.min(found.length, expected.length, remedy.length)).toBeGreaterThan(0);
    expect(found.length + expected.length + remedy.length).toBeLessThan(5000);
    expect(place.line ?? 1).toBeGreaterThan(0);
  }
  if (!recording) {
    expect(problems.some(({ severity }) => severity === 'stop')).toBe(true);
    // An unforeseen failure would come out as one: the damaged packing is the only one that is meant.
    for (const { code, found } of problems)
      if (code === 'FILE_UNREADABLE') expect(found).toMatch(/^damaged (gzip|zstd)/);
    return;
  }
  expect(recording.bytes).toBe(bytes.length);
  expect(recording.timeS).toHaveLength(recording.rows);
  for (const values of recording.channels.values()) {
    expect(values).toHaveLength(recording.rows);
    expect(values.every((value) => Math.abs(value) !== Number.POSITIVE_INFINITY)).toBe(true);
  }
  expect(recording.timeS.every((t) => Math.abs(t) !== Number.POSITIVE_INFINITY)).toBe(true);
  if (recording.lineOfRow)
    for (let row = 1; row < recording.rows; row++)
      expect(recording.lineOfRow(row)).toBeGreaterThan(recording.lineOfRow(row - 1));
}

describe('readers answer whatever they are given', () => {
  fuzz('any bytes', () => fc.asyncProperty(fc.uint8Array({ maxLength: 2000 }), pieces, answered));
  fuzz('CSV, spoilt', () => fc.asyncProperty(bytesOf(log), pieces, answered));
  fuzz('GPX, spoilt', () => fc.asyncProperty(bytesOf(gpx), pieces, answered));

  fuzz('the same bytes in other pieces give the same answer', () =>
    fc.asyncProperty(bytesOf(log), pieces, async (bytes, sizes) => {
      const [whole, cut] = [await readBytes(bytes), await readBytes(bytes, { pieces: sizes })];
      expect(codes(cut.problems)).toEqual(codes(whole.problems));
      expect(cut.recording?.timeS).toEqual(whole.recording?.timeS);
      expect(cut.recording?.channels).toEqual(whole.recording?.channels);
      expect(cut.recording?.sha256).toEqual(whole.recording?.sha256);
    }),
  );

  const yaml = fc.oneof(
    fc.string({ maxLength: 200 }),
    fc
      .array(
        fc
          .tuple(
            fc.constantFrom(
              'date',
              'stage',
              'circuit',
              'rider',
              'runs',
              'columns',
              'laps',
              'position',
              'official',
              'accept',
              'title',
              'riders',
              'reference',
              'targets',
              'x',
              '__proto__',
              '? a',
            ),
            fc.oneof(
              fc.json({ maxDepth: 4 }),
              fc.string({ maxLength: 15 }),
              fc.constantFrom(
                '&a [*a]',
                '*a',
                '2026-01-08',
                'track',
                '!!binary x',
                '{ file: a.csv }',
                '[{ file: a.csv, columns: { roll: { from: x } } }]',
                '|',
                '"',
              ),
            ),
          )
          .map(([key, value]) => `${key}: ${value}`),
        { maxLength: 12 },
      )
      .map((lines) => lines.join('\n')),
  );
  fuzz('session and campaign files', () =>
    fc.property(yaml, (front) => {
      const text = `---\n${front}\n---\nText.\n`;
      for (const { problems, read } of [
        { ...readSessionFile(text, 'a', 'a/session.md'), read: 'session' },
        { ...readCampaignFile(text, 'campaign.md'), read: 'campaign' },
      ]) {
        expect(read).toBeDefined();
        for (const { code, place } of problems) {
          expect(PROBLEMS[code]).toBeDefined();
          expect(place.line ?? 1).toBeGreaterThan(0);
        }
      }
      expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
    }),
  );
});

test('packed twice is packed: the inner packing is named as what was found', async () => {
  const twice = new Uint8Array(gzipSync(gzipSync('time [s],speed [m/s]\n0,1\n')));
  expect(gunzipSync(twice)[0]).toBe(0x1f);
  expect((await readBytes(twice)).problems).toMatchObject([
    { code: 'FORMAT_UNKNOWN', found: 'gzip of bytes that begin with 1f 8b 08 00 00 00 00 00' },
  ]);
});
