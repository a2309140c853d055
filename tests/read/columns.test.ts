import { describe, expect, test } from 'vitest';
import { codes, type Rules, readBytes } from './readText.ts';

/** One value under a heading, as the channel it becomes. */
async function channel(heading: string, value: string, rules: Rules = {}) {
  const { recording, problems } = await readBytes(`time [s],${heading}\n0,${value}\n1,${value}\n`, { rules });
  const [only] = recording!.channels;
  return { name: only?.[0], value: only?.[1][0], problems };
}

describe('headings and units', () => {
  // Factors: UCUM and NIST SP 811; a turn is 2 pi.
  test.each([
    ['speed [km/h]', '36', 'speed', 10],
    ['Speed [m/s]', '10', 'speed', 10],
    ['acc_lat [[g]]', '1', null, 0],
    ['roll [deg]', '180', 'roll', Math.PI],
    ['yaw_rate [deg/s]', '90', 'yaw_rate', Math.PI / 2],
    ['engine_speed [/min]', '60', 'engine_speed', 2 * Math.PI],
    ['engine_speed [circ/min]', '60', 'engine_speed', 2 * Math.PI],
    ['throttle [%]', '56', 'throttle', 0.56],
    ['brake_front [bar]', '2', 'brake_front', 200_000],
    ['brake_front [%]', '50', 'brake_front', 0.5],
    ['brake_front_cmd [kPa]', '3', 'brake_front_cmd', 3000],
    ['steer_torque [N.m]', '-4', 'steer_torque', -4],
    ['gear', '3', 'gear', 3],
    // Clockwise from north in files, counter-clockwise from east inside.
    ['heading [deg]', '90', 'heading', 0],
    ['heading [deg]', '0', 'heading', Math.PI / 2],
  ])('%s: %s', async (heading, written, name, inside) => {
    const { name: got, value } = await channel(heading, written);
    if (name === null) return expect(got).toBeUndefined();
    expect(got).toBe(name);
    expect(value).toBeCloseTo(inside, 12);
  });

  test('no unit: taken as the unit inside, and said', async () => {
    const { value, problems } = await channel('speed', '10');
    expect(value).toBe(10);
    expect(problems).toMatchObject([
      {
        code: 'UNIT_UNKNOWN',
        severity: 'warn',
        place: { line: 1, column: 'speed' },
        found: 'no unit',
        remedy: expect.stringContaining('taken as `m/s`'),
      },
    ]);
  });

  test('a unit that is none stops, with the code it may be', async () => {
    const { name, problems } = await channel('engine_speed [rpm]', '3000');
    expect(name).toBeUndefined();
    expect(problems).toMatchObject([
      {
        code: 'UNIT_UNKNOWN',
        severity: 'stop',
        found: 'the unit `rpm`',
        expected: expect.stringContaining('the UCUM code may be `/min`'),
      },
    ]);
  });

  test('a unit of another dimension stops', async () => {
    expect((await channel('speed [s]', '1')).problems).toMatchObject([{ code: 'UNIT_UNKNOWN', severity: 'stop' }]);
  });
});

describe('a column map', () => {
  test('takes a channel from a heading of the log, with its unit and sign', async () => {
    const { name, value } = await channel('Bank', '45', { roll: { from: 'Bank', unit: 'deg', negate: true } });
    expect(name).toBe('roll');
    expect(value).toBeCloseTo(-Math.PI / 4, 15);
  });

  test('negates before angles are turned to count from east', async () => {
    const rule = (extra: object): Rules => ({ heading: { from: 'Course', unit: 'deg', ...extra } });
    expect((await channel('Course', '30', rule({ negate: true }))).value).toBeCloseTo((2 * Math.PI) / 3, 12);
    expect((await channel('Course', '30', rule({ fromEast: true }))).value).toBeCloseTo(Math.PI / 6, 12);
    expect((await channel('Course', '30', rule({ fromEast: true, negate: true }))).value).toBeCloseTo(-Math.PI / 6, 12);
  });

  test('its unit wins over that of the heading', async () => {
    expect((await channel('Speed [m/s]', '36', { speed: { from: 'Speed', unit: 'km/h' } })).value).toBeCloseTo(10, 12);
  });

  test('a channel that it takes from elsewhere is not taken from its namesake', async () => {
    const { recording } = await readBytes('time [s],speed [m/s],GPS Speed\n0,1,36\n', {
      rules: { speed: { from: 'GPS Speed', unit: 'km/h' } },
    });
    expect(recording!.channels.get('speed')![0]).toBeCloseTo(10, 12);
    expect(recording!.otherColumns).toEqual(['speed [m/s]']);
  });

  test('a column that is not there stops at its line, with the nearest heading', async () => {
    const { problems } = await readBytes('time [s],GPS Speed\n0,1\n1,2\n', {
      rules: { speed: { from: 'GPS Sped', unit: 'km/h' } },
    });
    expect(problems).toMatchObject([
      {
        code: 'COLUMN_MISSING',
        severity: 'stop',
        place: { file: 'session.md', line: 9, key: 'columns.speed' },
        found: 'no column `GPS Sped` in run-01.csv',
        remedy: 'perhaps `GPS Speed`; correct `from:`, or take the line out',
      },
    ]);
  });

  test('two columns for one channel: the first counts, and it is said', async () => {
    const { recording, problems } = await readBytes('time [s],speed [m/s],Speed [km/h]\n0,1,36\n1,2,36\n');
    expect([...recording!.channels.get('speed')!]).toEqual([1, 2]);
    expect(problems).toMatchObject([{ code: 'COLUMN_TWICE', severity: 'warn', place: { column: 'Speed [km/h]' } }]);
  });

  test('without a time there is no recording', async () => {
    const { recording, problems } = await readBytes('t [s],speed [m/s]\n0,1\n1,2\n');
    expect(recording).toBeNull();
    expect(problems).toMatchObject([
      { code: 'CHANNEL_MISSING', severity: 'stop', found: 'no channel `time` among `t [s]`, `speed [m/s]`' },
    ]);
  });

  test('all faults are said at once', async () => {
    const { problems } = await readBytes('speed [rpm],speed,lat\n1,2,3\n4,5\n', {
      rules: { lon: { from: 'Longitude' } },
    });
    expect(codes(problems).sort()).toEqual(['CHANNEL_MISSING', 'COLUMN_MISSING', 'ROW_RAGGED', 'UNIT_UNKNOWN']);
  });

  test('a message lists a few dozen headings, not thousands', async () => {
    const { problems } = await readBytes(
      `${Array.from({ length: 3000 }, (_, i) => `c${i}`).join(',')}\n${'1,'.repeat(2999)}1\n`,
    );
    expect(problems[0]!.found.length).toBeLessThan(500);
    expect(problems[0]!.found).toContain('and 2970 more');
  });
});

test('numbers for hours, minutes and seconds, said in the session file', async () => {
  const { recording, problems } = await readBytes('T,speed [m/s]\n101558,1\n101559.5,2\n101601,3\n', {
    rules: { time: { from: 'T', unit: 'hhmmss' } },
  });
  expect([...recording!.timeS]).toEqual([36_958, 36_959.5, 36_961]);
  expect(problems).toEqual([]);
});
