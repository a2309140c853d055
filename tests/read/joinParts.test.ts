import { expect, test } from 'vitest';
import { ColumnMap } from '../../src/read/columns.ts';
import { joinParts } from '../../src/read/joinParts.ts';
import { readLog } from '../../src/read/log.ts';
import { memory } from '../campaign/memory.ts';

async function recordings(...texts: string[]) {
  const effects = memory(Object.fromEntries(texts.map((text, i) => [`f/${i}.csv`, text])));
  const read = await Promise.all(
    texts.map((_, i) => readLog({ path: `f/${i}.csv`, file: `${i}.csv`, columns: new ColumnMap() }, effects)),
  );
  return read.map(({ recording }) => recording!);
}

test('parts in any order become one log in the order of time, missing channels empty', async () => {
  const parts = await recordings(
    'time [s],speed [m/s]\n2,20\n3,30\n',
    'time [s],speed [m/s],roll [deg]\n0,0,1\n1,10,2\n',
  );
  const { recording, problems } = joinParts(parts, 'run');
  expect(problems).toEqual([]);
  expect([...recording!.timeS]).toEqual([0, 1, 2, 3]);
  expect([...recording!.channels.get('speed')!]).toEqual([0, 10, 20, 30]);
  expect(Number.isNaN(recording!.channels.get('roll')![2]!)).toBe(true);
  expect(recording!.rows).toBe(4);
});

test('dated parts keep their distance in time', async () => {
  const parts = await recordings(
    'time,speed [m/s]\n2026-01-08T10:00:00Z,1\n2026-01-08T10:00:01Z,2\n',
    'time,speed [m/s]\n2026-01-08T10:00:05Z,3\n2026-01-08T10:00:06Z,4\n',
  );
  expect([...joinParts(parts, 'run').recording!.timeS]).toEqual([0, 1, 5, 6]);
});

test('logs that overlap in time are refused with the part named', async () => {
  const parts = await recordings('time [s],speed [m/s]\n0,1\n5,2\n', 'time [s],speed [m/s]\n4,3\n9,4\n');
  const { recording, problems } = joinParts(parts, 'run');
  expect(recording).toBeNull();
  expect(problems[0]!.place.file).toBe('1.csv');
});
