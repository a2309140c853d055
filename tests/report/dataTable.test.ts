import Papa from 'papaparse';
import { expect, test } from 'vitest';
import { tableFiles } from '../../src/report/tables/dataTable.ts';
import { siteFiles } from '../../src/report/tables/siteFiles.ts';
import { even, made } from './made.ts';

// Expected: RFC 4180 as papaparse reads it, JSON as JSON.parse reads it, UCUM's code of standard gravity, `[g]`.
const TABLE = {
  columns: ['name', 'gap [s]', 'peak deceleration [g]', 'counted'],
  rows: [
    ['a, "b"', -0.25, 1.02, true],
    ['c', null, Number.NaN, false],
  ],
};

test('a table comes as CSV and as JSON with the same rows, fields with their units', () => {
  const files = new Map(tableFiles('tables/x', TABLE));
  expect([...files.keys()]).toEqual(['tables/x.csv', 'tables/x.json']);
  expect(JSON.parse(files.get('tables/x.json')!)).toEqual({
    fields: [
      { name: 'name' },
      { name: 'gap', unit: 's' },
      { name: 'peak deceleration', unit: '[g]' },
      { name: 'counted' },
    ],
    rows: [
      ['a, "b"', -0.25, 1.02, true],
      ['c', null, null, false],
    ],
  });
  expect(Papa.parse(files.get('tables/x.csv')!.trimEnd()).data).toEqual([
    TABLE.columns,
    ['a, "b"', '-0.25', '1.02', 'true'],
    ['c', '', '', 'false'],
  ]);
});

test('a table without rows is still a table', () => {
  const files = new Map(tableFiles('x', { columns: ['a [m]'], rows: [] }));
  expect(JSON.parse(files.get('x.json')!)).toEqual({ fields: [{ name: 'a', unit: 'm' }], rows: [] });
  expect(files.get('x.csv')).toBe('a [m]\n');
});

test('every table of a site lies there in both forms, with as many rows and columns in one as in the other', () => {
  const results = made({
    sessions: [{ name: 's', date: '2026-02-01', laps: [{ gaps: even(1) }, { gaps: even(2) }] }],
  });
  const files = new Map(siteFiles(results));
  const tables = [...files.keys()].filter((path) => path.endsWith('.csv'));
  expect(tables.length).toBeGreaterThan(30);
  for (const path of tables) {
    const text = files.get(path.replace(/\.csv$/, '.json'));
    expect(text, path).toBeDefined();
    const json = JSON.parse(text!) as { fields: { name: string; unit?: string }[]; rows: unknown[][] };
    const [head, ...rows] = Papa.parse<string[]>(files.get(path)!.trimEnd()).data;
    expect(json.fields.map((f) => (f.unit ? `${f.name} [${f.unit.replace('[g]', 'g')}]` : f.name))).toEqual(head);
    expect(json.rows).toHaveLength(rows.length);
    expect(json.rows.every((row) => row.length === head!.length)).toBe(true);
  }
});
