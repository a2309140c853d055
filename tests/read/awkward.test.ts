import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { readCheck, referenceFolder, withReference } from '../reference/folder.ts';
import { codes, type Rules, readBytes } from './readText.ts';

interface Outcome {
  readonly bytes: number;
  readonly sha256?: string;
  readonly data_rows?: number;
  readonly lines?: number;
  readonly [key: string]: unknown;
}

// Stated outcomes of h-data/awkward.json; values by eye from the files, whose lines are named beside them.
withReference('awkward files', () => {
  const { cases } = referenceFolder() ? readCheck<{ file: string }, Outcome>('h-data/awkward.json') : { cases: [] };
  const bytesOf = (name: string) => readFileSync(`${referenceFolder()}h-data/awkward/${name}`);
  const outcomeOf = (name: string) => cases.find((c) => c.in.file === `awkward/${name}`)!.out;
  const read = (name: string, rules: Rules = {}) => readBytes(bytesOf(name), { rules });

  const PLANTED: Rules = {
    time: { from: 't', unit: 's' },
    east: { from: 'x', unit: 'm' },
    north: { from: 'y', unit: 'm' },
    speed: { from: 'vx', unit: 'm/s' },
    heading: { from: 'heading', unit: 'rad', fromEast: true },
    yaw_rate: { from: 'yaw_rate', unit: 'rad/s' },
  };

  test.each(
    cases.filter((c) => c.in.file.includes('planted') && c.out.bytes > 0).map((c) => [c.in.file.slice(8), c] as const),
  )('%s: every row, nothing changed', async (name, c) => {
    const { recording, problems } = await read(name, PLANTED);
    expect(recording!.bytes).toBe(c.out.bytes);
    expect(recording!.rows).toBe(c.out.data_rows);
    const control = (await read('planted-clean.csv', PLANTED)).recording!;
    // Each row is the row of the control with the same time.
    const rowAt = new Map(Array.from(control.timeS, (t, row) => [t, row]));
    recording!.timeS.forEach((t, row) => {
      expect(recording!.channels.get('yaw_rate')![row]).toBe(control.channels.get('yaw_rate')![rowAt.get(t)!]);
    });
    if (name !== 'planted-not-numbers.csv') expect(problems).toEqual([]);
  });

  test('planted-clean.csv spans 12 s', async () => {
    const { timeS } = (await read('planted-clean.csv', PLANTED)).recording!;
    expect(timeS.at(-1)! - timeS[0]!).toBeCloseTo(outcomeOf('planted-clean.csv')['time_span_s'] as number, 9);
  });

  test('planted-time-backwards.csv steps back once, at its row', async () => {
    const { timeS } = (await read('planted-time-backwards.csv', PLANTED)).recording!;
    const back = [...timeS.keys()].filter((row) => row > 0 && timeS[row]! < timeS[row - 1]!);
    expect(back).toEqual([(outcomeOf('planted-time-backwards.csv')['first_bad_data_row'] as number) - 1]);
  });

  test('planted-gap.csv has its largest step', async () => {
    const { timeS } = (await read('planted-gap.csv', PLANTED)).recording!;
    const largest = Math.max(...[...timeS.subarray(1)].map((t, row) => t - timeS[row]!));
    expect(largest).toBeCloseTo(outcomeOf('planted-gap.csv')['largest_step_s'] as number, 9);
  });

  test('planted-not-numbers.csv: six cells of speed that are not numbers, said with the first line', async () => {
    const { recording, problems } = await read('planted-not-numbers.csv', PLANTED);
    const bad = [...recording!.channels.get('speed')!.entries()]
      .filter(([, v]) => Number.isNaN(v))
      .map(([row]) => row + 1);
    expect(bad).toHaveLength(outcomeOf('planted-not-numbers.csv')['bad_cells'] as number);
    expect(bad).toEqual([21, 22, 23, 24, 25, 26]);
    // The empty one is no fault. Line 22 is data row 21.
    expect(problems).toMatchObject([
      { code: 'CELL_UNREADABLE', severity: 'warn', place: { line: 22, column: 'vx' }, found: '`inf` and 4 more' },
    ]);
  });

  test('planted-frozen-position.csv keeps the frozen rows as they are', async () => {
    const east = (await read('planted-frozen-position.csv', PLANTED)).recording!.channels.get('east')!;
    expect([...east.subarray(149, 160)]).toEqual(Array.from({ length: 11 }, () => east[149]));
    expect(east[160]).not.toBe(east[149]);
  });

  test('planted-empty.csv is refused', async () => {
    expect(await read('planted-empty.csv')).toMatchObject({ recording: null, problems: [{ code: 'LOG_EMPTY' }] });
  });

  test('units-in-cells.csv: date and time in two columns, units in cells, a comma behind the last', async () => {
    const { recording, problems } = await read('units-in-cells.csv', {
      lat: { from: 'LATITUDE', unit: 'deg' },
      lon: { from: 'LONGITUDE', unit: 'deg' },
      alt: { from: 'HEIGHT' },
      heading: { from: 'HEADING', unit: 'deg' },
    });
    expect(recording!.sha256).toBe(outcomeOf('units-in-cells.csv').sha256);
    expect(recording!.rows).toBe(outcomeOf('units-in-cells.csv').lines! - 1);
    // Line 2: 2008/01/27 13:03:22.836, 98.470 m, 0.000 km/h. `date -u -d "2008-01-27 13:03:22.836" +%s.%N`
    expect(recording!.epochS).toBeCloseTo(1201439002.836, 3);
    expect(recording!.channels.get('alt')![0]).toBe(98.47);
    // Line 12: 2.142 km/h.
    expect(recording!.channels.get('speed')![10]).toBeCloseTo(2.142 / 3.6, 12);
    expect(problems).toEqual([]);
  });

  test('hemisphere-suffix.csv: west is negative, times are hhmmss', async () => {
    const { recording, problems } = await read('hemisphere-suffix.csv', {
      time: { from: 'TIME', unit: 'hhmmss' },
      lat: { from: 'LATITUDE N/S', unit: 'deg' },
      lon: { from: 'LONGITUDE E/W', unit: 'deg' },
      speed: { from: 'SPEED', unit: 'km/h' },
      heading: { from: 'HEADING', unit: 'deg' },
    });
    expect(recording!.rows).toBe(outcomeOf('hemisphere-suffix.csv').lines! - 1);
    expect(recording!.channels.get('lon')![0]).toBe(-125.7648551);
    expect(recording!.channels.get('lat')![0]).toBe(49.0733336);
    const { timeS } = recording!;
    // Line 2 is 17:34:18, line 62 is 17:35:17: plain numbers would be 99 apart.
    expect(timeS[0]).toBe(17 * 3600 + 34 * 60 + 18);
    expect(timeS[60]! - timeS[0]!).toBe(59);
    expect(problems).toEqual([]);
  });

  test('hemisphere-suffix.csv without a word on its times: taken as such, and said', async () => {
    const { recording, problems } = await read('hemisphere-suffix.csv');
    expect(recording!.timeS[60]! - recording!.timeS[0]!).toBe(59);
    expect(problems[0]).toMatchObject({
      code: 'UNIT_UNKNOWN',
      place: { column: 'TIME' },
      remedy: expect.stringContaining('hhmmss'),
    });
  });

  test('padded-with-comments.csv: rows, local date and time, padded numbers', async () => {
    const { recording, problems } = await read('padded-with-comments.csv', {
      time: { from: 'Lcl Time' },
      lat: { from: 'Latitude', unit: 'deg' },
      lon: { from: 'Longitude', unit: 'deg' },
      speed: { from: 'GndSpd', unit: '[kn_i]' },
      roll: { from: 'Roll', unit: 'deg' },
      pitch: { from: 'Pitch', unit: 'deg' },
    });
    // Three lines stand above the rows, and the last row has no line end.
    expect(recording!.rows).toBe(outcomeOf('padded-with-comments.csv').lines! + 1 - 3);
    // Line 4: 2014-03-29, 22:50:22, 40.2171326, -111.7177124, 3.50 knots of 1852 m/h. `date -u -d "2014-03-29 22:50:22" +%s`
    expect(recording!.epochS).toBe(1396133422);
    expect(recording!.channels.get('lat')![0]).toBe(40.2171326);
    expect(recording!.channels.get('lon')![0]).toBe(-111.7177124);
    expect(recording!.channels.get('speed')![0]).toBeCloseTo((3.5 * 1852) / 3600, 12);
    expect(codes(problems)).toEqual(['LOG_CUT']);
  });

  test.each(cases.filter((c) => c.in.file.endsWith('.gpx')).map((c) => [c.in.file.slice(8), c] as const))(
    '%s: its points and times',
    async (name, c) => {
      const { recording, problems } = await read(name);
      expect(recording!.rows).toBe(c.out['track_points']);
      expect(recording!.sha256).toBe(c.out.sha256);
      // Times elsewhere in the file are not times of points; the outcome counts those of points.
      expect(new Set([...recording!.timeS].filter((t) => !Number.isNaN(t))).size).toBe(
        c.out['distinct_times_in_track_points'],
      );
      const expected: Record<string, string[]> = {
        'bom.gpx': ['LOG_EMPTY', 'GPX_INVALID'],
        'no-times.gpx': ['GPX_INVALID', 'TIME_MISSING'],
        'subsecond.gpx': ['GPX_INVALID'],
      };
      expect(codes(problems)).toEqual(expected[name] ?? []);
    },
  );
});
