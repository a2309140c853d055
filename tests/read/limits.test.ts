import { gzipSync, zstdCompressSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { readBytes } from './readText.ts';

const text = (content: string) => new TextEncoder().encode(content);
const LOG = 'time [s],speed [m/s]\n0,1\n1,2\n';

/** The same bytes again and again, as a stream: no file of that size is made. */
async function* repeated(
  piece: Uint8Array,
  times: number,
  before: readonly Uint8Array[] = [],
): AsyncGenerator<Uint8Array> {
  yield* before;
  for (let i = 0; i < times; i++) yield piece;
}

/** Resident memory that `run` adds at most, in MB, and how long it takes, in s. */
async function cost<T>(run: () => Promise<T>): Promise<{ result: T; megabytes: number; seconds: number }> {
  const before = process.memoryUsage().rss;
  let most = before;
  const watch = setInterval(() => {
    most = Math.max(most, process.memoryUsage().rss);
  }, 20);
  const start = performance.now();
  const result = await run();
  clearInterval(watch);
  return {
    result,
    megabytes: (Math.max(most, process.memoryUsage().rss) - before) / 1e6,
    seconds: (performance.now() - start) / 1000,
  };
}

describe('packed logs', () => {
  test.each([
    ['gzip', gzipSync(LOG)],
    ['zstd', zstdCompressSync(LOG)],
    ['gzip padded with zeros', Buffer.concat([gzipSync(LOG), Buffer.alloc(100)])],
    ['gzip in two members', Buffer.concat([gzipSync(LOG.slice(0, 20)), gzipSync(LOG.slice(20))])],
    ['zstd in two frames', Buffer.concat([zstdCompressSync(LOG.slice(0, 20)), zstdCompressSync(LOG.slice(20))])],
  ])('%s is read, in any pieces', async (_, packed) => {
    const bytes = new Uint8Array(packed);
    for (const pieces of [[1], [7, 3], [1 << 20]]) {
      const { recording, problems } = await readBytes(bytes, { pieces });
      expect([...recording!.channels.get('speed')!]).toEqual([1, 2]);
      expect(recording!.bytes).toBe(bytes.length);
      expect(problems).toEqual([]);
    }
  });

  test.each([
    ['gzip', gzipSync(LOG.repeat(200))],
    ['zstd', zstdCompressSync(LOG.repeat(200), { params: { 201: 1 } })],
  ])('%s with a wrong byte inside is refused', async (_, packed) => {
    const bytes = new Uint8Array(packed);
    bytes[bytes.length - 3]! ^= 0xff;
    const { recording, problems } = await readBytes(bytes);
    expect(recording).toBeNull();
    expect(problems).toMatchObject([
      { code: 'FILE_UNREADABLE', severity: 'stop', remedy: 'copy the file again from the logger' },
    ]);
  });
});

// A limit that is passed costs little memory and time: megabytes here include the streams' own buffers.
describe('refused with a clear message, in bounded memory', () => {
  const refused = async (content: () => AsyncIterable<Uint8Array>, code = 'LOG_LIMIT') => {
    const { result, megabytes, seconds } = await cost(() => readBytes(content));
    expect(result.recording).toBeNull();
    expect(result.problems).toHaveLength(1);
    expect(result.problems[0]).toMatchObject({ code, severity: 'stop' });
    expect(megabytes).toBeLessThan(400);
    expect(seconds).toBeLessThan(20);
    return result.problems[0]!;
  };
  const million = new Uint8Array(1e6);

  test('10 GB of zeros in gzip, and in zstd', async () => {
    // A member of a megabyte of zeros, ten thousand times.
    const zeros = new Uint8Array(gzipSync(million));
    await refused(() => repeated(zeros, 10_000), 'FORMAT_UNKNOWN');
    await refused(() => repeated(new Uint8Array(zstdCompressSync(million)), 10_000), 'FORMAT_UNKNOWN');
  });

  test('10 GB of zeros behind the rows of a packed log', async () => {
    const zeros = new Uint8Array(gzipSync(million));
    const { found } = await refused(() => repeated(zeros, 10_000, [new Uint8Array(gzipSync(LOG.repeat(50_000)))]));
    expect(found).toBe('a line of more than 1048576 bytes');
  });

  test('10 GB of rows in a few megabytes', async () => {
    const rows = new Uint8Array(gzipSync(text(`${','.repeat(9999)}\n`.repeat(200))));
    const head = new Uint8Array(gzipSync(text(`time [s]${',x'.repeat(9999)}\n1${',1'.repeat(9999)}\n`)));
    const { found } = await refused(() => repeated(rows, 5000, [head]));
    expect(found).toMatch(/bytes of gzip that unpack to more than/);
  });

  test('a line of 1 GB', async () => {
    const piece = text('1.25 '.repeat(200_000));
    const { found, place } = await refused(() => repeated(piece, 1000, [text(LOG)]));
    expect(found).toBe('a line of more than 1048576 bytes');
    expect(place.line).toBe(4);
    await refused(() => repeated(piece, 1000));
  });

  test('a quote that opens and 1 GB behind it without a line end', async () => {
    await refused(() => repeated(text('a '.repeat(500_000)), 1000, [text(`${LOG}1,"`)]));
  });

  test('a million columns', async () => {
    const heading = text(`time [s],${Array.from({ length: 1e6 }, (_, i) => `c${i}`).join(',')}\n`);
    const row = text(`0${',1'.repeat(1e6)}\n`);
    await refused(() => repeated(row, 10, [heading]));
    await refused(() => repeated(text(`0${',1'.repeat(20_000)}\n`), 10, [text(`time [s]${',c'.repeat(20_000)}\n`)]));
  });

  test('more rows than fit', async () => {
    const { found } = await refused(() => repeated(text('1,2\n'.repeat(250_000)), 1000, [text(LOG)]));
    expect(found).toBe('more than 12000000 rows');
  });

  test('a comment before every row', async () => {
    await refused(() => repeated(text('#\n1,2\n'.repeat(150_000)), 1000, [text(LOG)]));
  });

  test('a GPX file of gigabytes', async () => {
    const point = text('<trkpt lat="45" lon="9"><time>2026-01-08T10:00:00Z</time></trkpt>'.repeat(10_000));
    await refused(() => repeated(point, 10_000, [text('<gpx version="1.1"><trk><trkseg>')]));
  });
});
