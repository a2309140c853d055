import { expect, test } from 'vitest';
import { compareResults } from '../../src/archive/compareResults.ts';

const cell = (corner: string, gapS: number) => ({ corner, cell: 'braking', gapS });
const result = (...ledger: object[]) => ({ schema: 1, runs: [{ file: 'run-01.csv', laps: [{ lap: 3, ledger }] }] });

test('a figure is named by run, lap, corner and cell, whatever its place in the list', () => {
  const before = result(cell('1', 0.1), cell('2', 0.2));
  const now = result(cell('2', 0.25), cell('1', 0.1));
  expect(compareResults(before, now, 0)).toEqual([
    {
      figure: 'run run-01.csv, lap 3, ledger, corner 2 braking, gapS',
      before: '0.2',
      now: '0.25',
      apart: expect.closeTo(0.05, 12),
    },
  ]);
});

test('what came and what went is named too, and a key that another schema has', () => {
  const now = { ...result(cell('1', 0.1)), extra: true };
  expect(compareResults(result(cell('2', 0.2)), now, 0).map(({ figure, before }) => [figure, before])).toEqual([
    ['run run-01.csv, lap 3, ledger, corner 2 braking', '{"corner":"2","cell":"braking","gapS":0.2}'],
    ['run run-01.csv, lap 3, ledger, corner 1 braking', 'nothing'],
    ['extra', 'nothing'],
  ]);
});

test('numbers within the tolerance are equal, a number and its text are not', () => {
  expect(compareResults({ a: 1, b: [1, 2] }, { a: 1 + 5e-10, b: [1, 2] }, 1e-9)).toEqual([]);
  expect(compareResults({ a: 1 }, { a: 1 + 2e-9 }, 1e-9)).toHaveLength(1);
  expect(compareResults({ a: 1 }, { a: '1' }, 1e-9)).toHaveLength(1);
  expect(compareResults({ a: null }, {}, 1e-9)).toHaveLength(1);
});

test('a cause is named by its corner, and by its part where the gate cuts one in two', () => {
  const lap = (gapS: number) => ({
    causes: {
      windows: ['from gate', 'to gate'].map((part, i) => ({
        corner: '1',
        part,
        groups: [{ group: 'apex', gapS: i === 1 ? gapS : 0 }],
        causes: [{ cause: 'grip', gapS: i === 1 ? gapS : 0 }],
      })),
    },
  });
  expect(compareResults(lap(0.1), lap(0.2), 0).map(({ figure }) => figure)).toEqual([
    'causes, corner 1 to gate, group apex, gapS',
    'causes, corner 1 to gate, cause grip, gapS',
  ]);
});
