import { readdirSync, readFileSync } from 'node:fs';
import { gunzipSync, gzipSync, zstdCompressSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { type Rules, readBytes } from './readText.ts';

const SAMPLES = new URL('../../sample-sessions/', import.meta.url);
const FOREIGN: Rules = {
  time: { from: 'Elapsed', unit: 's' },
  speed: { from: 'Ground speed', unit: 'km/h' },
  engine_speed: { from: 'Crank', unit: 'circ/min' },
};

/** The first rows of each sample log, with rules for the one that has headings of its own. */
const samples = readdirSync(SAMPLES)
  .sort()
  .map((session) => {
    const name = readdirSync(new URL(`${session}/`, SAMPLES)).find((file) => file.startsWith('run-'))!;
    const file = readFileSync(new URL(`${session}/${name}`, SAMPLES));
    // One of the demo's own logs breaks off; its head is whole.
    const text = (name.endsWith('.gz') ? gunzipSync(file, { finishFlush: 2 }) : file).toString('latin1');
    const rules = text.startsWith('Elapsed') ? FOREIGN : {};
    return { session, rules, bytes: new TextEncoder().encode(`${text.split('\n').slice(0, 8).join('\n')}\n`) };
  });

const GPX = `<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="a" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>
${[0, 1, 2, 3].map((i) => `<trkpt lat="45.${i}" lon="9.${i}"><ele>${i}.5</ele><time>2026-01-08T10:00:0${i}Z</time></trkpt>`).join('\n')}
</trkseg></trk></gpx>
`;

describe('a log cut off at any byte', () => {
  test.each(samples.map((sample) => [sample.session, sample] as const))(
    '%s: every whole row before the break is used, the break is said',
    async (_, { bytes, rules }) => {
      const whole = await readBytes(bytes, { rules });
      const times = whole.recording!.timeS;
      for (let end = 0; end < bytes.length; end++) {
        const { recording, problems } = await readBytes(bytes.subarray(0, end), { rules });
        // Rows whose line end lies before the break; the heading is the first line.
        const before = bytes.subarray(0, end).reduce((lines, byte) => lines + (byte === 10 ? 1 : 0), 0) - 1;
        const rows = Math.max(0, before);
        if (rows > 0) {
          expect([...recording!.timeS.subarray(0, rows)]).toEqual([...times.subarray(0, rows)]);
          expect(recording!.rows - rows).toBeLessThanOrEqual(1);
          for (const [name, values] of recording!.channels)
            expect([...values.subarray(0, rows)]).toEqual([...whole.recording!.channels.get(name)!.subarray(0, rows)]);
        }
        const cut = problems.find(({ code }) => code === 'LOG_CUT');
        const open = end > 0 && bytes[end - 1] !== 10;
        expect(cut !== undefined).toBe(open);
        if (cut) expect(cut.place).toMatchObject({ byte: end, line: before + 2 });
        if ((recording?.rows ?? 0) === 0) expect(problems.some(({ severity }) => severity === 'stop')).toBe(true);
      }
    },
  );

  test('a last cell counts by the cell above it, also where that came with a piece before', async () => {
    const rows = Array.from({ length: 150_000 }, (_, i) => `${i},12.50\n`).join('');
    const last = async (row: string): Promise<number | undefined> => {
      const text = `time [s],speed [m/s]\n${rows}${row}`;
      const { recording } = await readBytes(text, { pieces: [text.length - 3] });
      return recording!.channels.get('speed')!.at(-1);
    };
    expect(await last('150000,13.75')).toBe(13.75);
    expect(await last('150000,13.7')).toBeNaN();
  });

  test('a last cell that lost digits does not count, a complete one does', async () => {
    const last = async (text: string) => (await readBytes(text)).recording!.channels.get('speed')!.at(-1);
    expect(await last('time [s],speed [m/s]\n0,12.50\n1,13.75')).toBe(13.75);
    expect(await last('time [s],speed [m/s]\n0,12.50\n1,13.7')).toBeNaN();
    expect(await last('time [s],speed [m/s]\n0,12.50\n1,1')).toBeNaN();
    expect(await last('time [s],speed [m/s]\n0,12\n1,1')).toBeNaN();
  });

  test('a GPX track: the points before the break are used', async () => {
    const bytes = new TextEncoder().encode(GPX);
    const root = GPX.indexOf('<trk>');
    for (let end = root; end < bytes.length - 1; end++) {
      const { recording, problems } = await readBytes(bytes.subarray(0, end));
      const points = GPX.slice(0, end).split('</trkpt>').length - 1;
      expect([...recording!.timeS.subarray(0, points)]).toEqual([0, 1, 2, 3].slice(0, points));
      expect(recording!.rows - points).toBeLessThanOrEqual(1);
      const cut = problems.find(({ code }) => code === 'LOG_CUT');
      if (end <= GPX.lastIndexOf('</gpx')) expect(cut?.place.byte).toBe(end);
    }
  });

  test.each([
    ['gzip', gzipSync],
    ['zstd', zstdCompressSync],
  ] as const)('packed with %s: what can be unpacked is used', async (_, pack) => {
    const text = `time [s],speed [m/s]\n${Array.from({ length: 40_000 }, (_, i) => `${i},${((i * 7919) % 9973) / 100}\n`).join('')}`;
    const packed = new Uint8Array(pack(text));
    for (const share of [0.6, 0.9, 1]) {
      const end = share === 1 ? packed.length - 1 : Math.floor(packed.length * share);
      const { recording, problems } = await readBytes(packed.subarray(0, end), { pieces: [10_000] });
      expect(recording!.rows).toBeGreaterThan(40_000 * (share - 0.4));
      recording!.timeS.slice(0, -1).forEach((t, i) => {
        if (t !== i) throw new Error(`row ${i} at ${t}`);
      });
      expect(problems.find(({ code }) => code === 'LOG_CUT')).toMatchObject({
        severity: 'warn',
        place: { byte: end },
        found: 'a packed file that breaks off',
      });
    }
    for (let end = 1; end < 40; end++)
      expect((await readBytes(packed.subarray(0, end))).problems.length).toBeGreaterThan(0);
  });
});
