import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readCheck, referenceFolder, withReference } from '../reference/folder.ts';
import { codes, readBytes } from './readText.ts';

const gpx = (inside: string, root = 'version="1.1" creator="a" xmlns="http://www.topografix.com/GPX/1/1"') =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<gpx ${root}>${inside}</gpx>\n`;
const point = (i: number, more = '') =>
  `<trkpt lat="45.${i}" lon="-9.${i}"><ele>${i}.5</ele><time>2026-01-08T10:00:0${i}.250Z</time>${more}</trkpt>`;
const track = (...points: string[]) => gpx(`<trk><trkseg>${points.join('')}</trkseg></trk>`);

describe('GPX', () => {
  test('points become rows: place, height, time', async () => {
    const { recording, problems } = await readBytes(track(point(1), point(2), point(3)));
    expect(problems).toEqual([]);
    expect([...recording!.timeS]).toEqual([0, 1, 2]);
    // `date -u -d "2026-01-08 10:00:01.250" +%s.%N`
    expect(recording!.epochS).toBe(1767866401.25);
    expect([...recording!.channels.get('lat')!]).toEqual([45.1, 45.2, 45.3]);
    expect([...recording!.channels.get('lon')!]).toEqual([-9.1, -9.2, -9.3]);
    expect([...recording!.channels.get('alt')!]).toEqual([1.5, 2.5, 3.5]);
  });

  test('numbers in extensions become columns without their prefix', async () => {
    const extension = (v: number) =>
      `<extensions><x:Point xmlns:x="urn:x"><x:speed>${v}</x:speed><x:course>90</x:course><x:hr>12${v}</x:hr><x:word>fast</x:word></x:Point></extensions>`;
    const { recording, problems } = await readBytes(track(point(1, extension(3)), point(2), point(3, extension(5))));
    expect([...recording!.channels.get('speed')!]).toEqual([3, Number.NaN, 5]);
    expect(recording!.channels.get('heading')![0]).toBeCloseTo(0, 15);
    expect(recording!.otherColumns).toEqual(['hr']);
    expect(problems).toEqual([]);
  });

  test('a column of an extension is named by the session file', async () => {
    const extensions = '<extensions><lean>30</lean></extensions>';
    const { recording } = await readBytes(track(point(1, extensions), point(2, extensions)), {
      rules: { roll: { from: 'lean', unit: 'deg' } },
    });
    expect(recording!.channels.get('roll')![1]).toBeCloseTo(Math.PI / 6, 12);
  });

  test('places and routes are not the track, comments are nothing', async () => {
    const text = gpx(
      `<wpt lat="1" lon="1"><ele>9</ele></wpt><rte><rtept lat="2" lon="2"/></rte><!-- ${point(1)} --><trk><name>a &amp; b</name><trkseg>${point(3)}</trkseg></trk>`,
    );
    const { recording } = await readBytes(text);
    expect([...recording!.channels.get('alt')!]).toEqual([3.5]);
  });

  test.each([
    ['internal entities', '<!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'],
    ['an external document type with declarations', '<!DOCTYPE gpx SYSTEM "file:///etc/hostname" [ ]>'],
  ])('%s are refused', async (_, declaration) => {
    const text = `<?xml version="1.0"?>\n${declaration}\n<gpx version="1.1">&b;</gpx>`;
    const { recording, problems } = await readBytes(text);
    expect(recording).toBeNull();
    expect(problems).toMatchObject([{ code: 'XML_ENTITY', severity: 'stop', place: { line: 2 } }]);
  });

  test('the declared encoding is kept to', async () => {
    const text = track(point(1), point(2)).replace('UTF-8', 'ISO-8859-1').replace('creator="a"', 'creator="é"');
    const { recording, problems } = await readBytes(Buffer.from(text, 'latin1'));
    expect(recording!.rows).toBe(2);
    expect(problems).toMatchObject([{ code: 'ENCODING', found: 'bytes that are not UTF-8, read as iso-8859-1' }]);
  });

  test('elements a hundred thousand deep are refused, not recursed', async () => {
    const { problems } = await readBytes(gpx(`${'<a>'.repeat(1e5)}`));
    expect(codes(problems)).toContain('LOG_CUT');
  });

  test('names that objects have already are refused, not obeyed', async () => {
    for (const name of ['__proto__', 'constructor', 'toString', 'hasOwnProperty']) {
      const { recording, problems } = await readBytes(
        track(point(1, `<extensions><${name}>1</${name}></extensions>`), point(2)),
      );
      expect(recording!.rows === 2 || codes(problems).includes('LOG_CUT')).toBe(true);
    }
    expect(({} as Record<string, unknown>)['1']).toBeUndefined();
  });
});

withReference('small GPX files, valid and not by the schema', () => {
  const { cases } = referenceFolder()
    ? readCheck<{ file: string }, { schema_valid: boolean }>('g-formats/gpx.json')
    : { cases: [] };
  // What says nothing of validity: a file may be valid and empty, or have no times.
  const OF_THE_LOG = ['LOG_EMPTY', 'TIME_MISSING'];

  test.each(cases.map((c) => [c.id, c] as const))('%s', async (_, c) => {
    const { problems } = await readBytes(readFileSync(`${referenceFolder()}g-formats/${c.in.file}`));
    const faults = problems.filter(({ code }) => !OF_THE_LOG.includes(code));
    expect(faults.length > 0).toBe(!c.out.schema_valid);
  });

  test('an offset in a stamp is the same instant', async () => {
    const { recording } = await readBytes(readFileSync(`${referenceFolder()}g-formats/gpx/valid-time-offset.gpx`));
    // `date -u -d "2024-05-01 10:00Z" +%s`
    expect(recording!.epochS).toBe(1714557600);
  });
});
