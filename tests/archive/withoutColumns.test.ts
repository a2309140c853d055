import { gunzipSync, gzipSync } from 'node:zlib';
import { expect, test } from 'vitest';
import { withoutColumns } from '../../src/archive/withoutColumns.ts';

async function* pieces(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  for (let i = 0; i < bytes.length; i += 7) yield bytes.subarray(i, i + 7);
}
const unwanted = (heading: string): boolean => heading === 'gas' || heading === 'map';

const LOG =
  '# logger 3\r\ntime,"gas",speed,map\r\ns,%,km/h,1\r\n0.0,12,80,3\r\n0.1,13,81,\r\n0.2,"1""4",82,5\r\n0.3,15,83,6\r\n';
const WITHOUT = '# logger 3\r\ntime,"gas",speed,map\r\ns,%,km/h,1\r\n0.0,,80,\r\n0.1,,81,\r\n0.2,,82,\r\n0.3,,83,\r\n';

test('the cells under a heading are emptied, and nothing else changes', async () => {
  const made = await withoutColumns(pieces(Buffer.from(LOG)), 'log.csv', unwanted);
  expect(Buffer.from(made!.bytes).toString()).toBe(WITHOUT);
  expect(made!.columns).toEqual(['gas', 'map']);
});

test('a packed log stays packed, to the same bytes each time', async () => {
  const once = await withoutColumns(pieces(gzipSync(LOG)), 'log.csv.gz', unwanted);
  const again = await withoutColumns(pieces(gzipSync(LOG)), 'log.csv.gz', unwanted);
  expect(gunzipSync(once!.bytes).toString()).toBe(WITHOUT);
  expect(Buffer.from(once!.bytes).equals(again!.bytes)).toBe(true);
});

test('a line that breaks off stays broken off, without the value', async () => {
  const made = await withoutColumns(pieces(Buffer.from(`${LOG}0.4,16`)), 'log.csv', unwanted);
  expect(Buffer.from(made!.bytes).toString()).toBe(`${WITHOUT}0.4,`);
});

test('a log that columns cannot be taken out of is refused, not published as it is', async () => {
  const gpx = '<?xml version="1.0"?><gpx version="1.1" creator="x"><trk></trk></gpx>';
  expect(await withoutColumns(pieces(Buffer.from(gpx)), 'log.gpx', unwanted)).toBeNull();
});
