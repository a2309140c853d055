import { describe, expect, test } from 'vitest';
import { readCampaignFile } from '../../src/read/campaignFile.ts';
import { readSessionFile } from '../../src/read/sessionFile.ts';

const BASE = ['date: 2026-01-08', 'stage: track', 'circuit: flats', 'rider: robot'];
const RUNS = ['runs:', '  - file: run-01.csv'];

/** A session file with lines of front matter; line 1 is the `---`. */
function session(...lines: string[]) {
  return readSessionFile(`---\n${lines.join('\n')}\n---\nNotes.\n`, '2026-01-08-track', '2026-01-08-track/session.md');
}

describe('a session file', () => {
  test('is read with everything that a run inherits or overrides', () => {
    const { session: read, problems } = session(
      ...BASE,
      'controller: "0.10"',
      'position: { antenna: [0.1, 0, 1], latency: "40 ms" }',
      'limits: { speed: "60 km/h" }',
      'columns: { speed: { from: "GPS Speed", unit: "km/h" } }',
      'runs:',
      '  - { file: run-01.csv, kind: laps, official: { 3: "1:32.412" } }',
      '  - { file: run-02.csv, rider: other, controller: null, columns: { roll: { from: Bank, unit: deg, negate: true } } }',
      'laps:',
      '  - { run: run-01.csv, lap: 3, exclude: "marshal" }',
      'accept: { HOLE_IN_LOG: "known" }',
    );
    expect(problems).toEqual([]);
    expect(read).toMatchObject({
      id: '2026-01-08-track',
      date: '2026-01-08',
      controller: '0.10',
      notes: 'Notes.',
      accept: { HOLE_IN_LOG: 'known' },
    });
    const [one, two] = read!.runs;
    expect(one).toMatchObject({
      files: ['run-01.csv'],
      rider: 'robot',
      controller: '0.10',
      position: { antennaM: [0.1, 0, 1], sigmaM: null },
    });
    expect(one!.position.latencyS).toBeCloseTo(0.04, 15);
    expect(one!.speedLimitMps).toBeCloseTo(60 / 3.6, 12);
    expect(one!.official.get(3)).toBeCloseTo(92.412, 12);
    expect(two).toMatchObject({ rider: 'other', controller: null });
    expect([...two!.columns.rules.keys()]).toEqual(['speed', 'roll']);
    expect(read!.choices).toEqual([{ run: 'run-01.csv', lap: 3, counted: false, reason: 'marshal', line: 14 }]);
  });

  test('an unknown key stops at its line, with the nearest one, and hides nothing else', () => {
    const { session: read, problems } = session(...BASE, 'condtions: { air: "17 Cel" }', ...RUNS, '    antena: 1');
    expect(read?.runs).toHaveLength(1);
    expect(problems).toMatchObject([
      { code: 'KEY_UNKNOWN', severity: 'stop', place: { line: 9, key: 'runs.0.antena' } },
      { code: 'KEY_UNKNOWN', severity: 'stop', place: { line: 6, key: 'condtions' }, remedy: 'perhaps `conditions`' },
    ]);
  });

  test('keys inside keys have their own hints', () => {
    expect(session(...BASE, ...RUNS, '    columns: { roll: { form: Bank } }').problems).toMatchObject([
      { code: 'VALUE_INVALID', place: { line: 8, key: 'runs.0.columns.roll.from' } },
      { code: 'KEY_UNKNOWN', place: { line: 8 }, remedy: 'perhaps `from`' },
    ]);
    expect(session(...BASE, 'columns: { rol: { from: Bank } }', ...RUNS).problems).toMatchObject([
      {
        code: 'KEY_UNKNOWN',
        place: { line: 6, key: 'columns.rol' },
        remedy: expect.stringContaining('perhaps `roll`'),
      },
    ]);
  });

  test('a version written as a number is used as it was written, and said', () => {
    const { session: read, problems } = session(
      ...BASE,
      'controller: 0.10',
      'configuration: { firmware: 7.0 }',
      ...RUNS,
    );
    expect(read).toMatchObject({
      controller: '0.10',
      runs: [{ configuration: { controller: '0.10', firmware: '7.0' } }],
    });
    expect(problems).toMatchObject([
      { code: 'VERSION_NUMBER', severity: 'warn', place: { line: 6, key: 'controller' }, found: 'the number `0.10`' },
      {
        code: 'VERSION_NUMBER',
        severity: 'warn',
        place: { line: 7, key: 'configuration.firmware' },
        found: 'the number `7.0`',
      },
    ]);
  });

  test.each([
    '../other/run.csv',
    '/etc/hostname',
    'a/../../b.csv',
    'C:\\logs\\run.csv',
    '..\\run.csv',
    '\\\\host\\run.csv',
  ])('the file %s leaves the folder', (name) => {
    const { session: read, problems } = session(...BASE, 'runs:', `  - file: '${name}'`, '  - file: run-02.csv');
    expect(read?.runs.map(({ files }) => files)).toEqual([['run-02.csv']]);
    expect(problems).toMatchObject([{ code: 'FILE_OUTSIDE', severity: 'stop', place: { line: 7 } }]);
  });

  test.each(['run..1.csv', 'day/run.csv', '...csv'])('the file %s stays in it', (name) => {
    expect(session(...BASE, 'runs:', `  - file: '${name}'`).problems).toEqual([]);
  });

  test.each([
    ['limits: { speed: 60 }', 6, 'limits.speed'],
    ['position: { latency: "40" }', 6, 'position.latency'],
    ['position: { antenna: [1, 2] }', 6, 'position.antenna'],
    ['stage: lunch', 6, 'stage'],
    ['axes: sideways', 6, 'axes'],
    ['decimal: ";"', 6, 'decimal'],
    ['official: { 3: "1:75.0" }', 6, 'official.3'],
  ])('%s is not a value', (line, at, key) => {
    const { problems } = session(
      ...BASE.filter((each) => !line.startsWith('stage') || !each.startsWith('stage')),
      ...(line.startsWith('stage') ? ['axes: body'] : []),
      line,
      ...RUNS,
    );
    expect(problems).toMatchObject([{ code: 'VALUE_INVALID', severity: 'stop', place: { line: at, key } }]);
  });

  test('a fault of the session is said once, however many runs it has', () => {
    const { problems } = session(
      ...BASE,
      'configuration: { firmware: 7 }',
      'columns: { rol: { from: Bank } }',
      ...RUNS,
      '  - file: run-02.csv',
    );
    expect(problems.map(({ code }) => code).sort()).toEqual(['KEY_UNKNOWN', 'VERSION_NUMBER']);
  });

  test('what is missing is named, all of it', () => {
    const { session: read, problems } = session('date: 2026-01-08', ...RUNS);
    expect(read).toBeNull();
    expect(problems.map(({ place }) => place.key)).toEqual(['stage', 'circuit', 'rider']);
    expect(session('date: 8 January', ...RUNS).problems[0]).toMatchObject({
      code: 'VALUE_INVALID',
      place: { key: 'date', line: 2 },
    });
    expect(session(...BASE).problems).toMatchObject([{ place: { key: 'runs' } }]);
  });

  test('no front matter, and YAML that is none, are said with their line', () => {
    expect(readSessionFile('Notes only.', 'a', 'a/session.md')).toMatchObject({
      session: null,
      problems: [{ code: 'FRONT_MATTER', place: { line: 1 } }],
    });
    expect(session('date: 2026-01-08', 'circuit: "flats').problems[0]).toMatchObject({
      code: 'FRONT_MATTER',
      severity: 'stop',
    });
    expect(session('date: a: b').problems[0]).toMatchObject({ code: 'FRONT_MATTER', place: { line: 2 } });
    expect(session('- a', '- b').session).toBeNull();
    expect(session('just words').session).toBeNull();
  });

  test('aliases that multiply are refused', () => {
    const bomb = [
      'a: &a [x, x, x, x, x, x, x, x, x]',
      ...'bcdefghi'.split('').map((name, i) => `${name}: &${name} [${Array(9).fill(`*${'abcdefgh'[i]}`).join(', ')}]`),
    ];
    const { session: read, problems } = session(...bomb, ...BASE, ...RUNS);
    expect(read).toBeNull();
    expect(problems).toMatchObject([{ code: 'FRONT_MATTER', severity: 'stop' }]);
  });

  test('nesting without end is refused', () => {
    const { session: read, problems } = session(`a: ${'['.repeat(20_000)}`);
    expect(read).toBeNull();
    expect(problems.length).toBeGreaterThan(0);
  });

  test('keys that prototypes have are plain keys', () => {
    const { problems } = session(...BASE, '__proto__: { polluted: 1 }', 'constructor: 1', ...RUNS);
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
    expect(problems.length).toBeGreaterThan(0);
  });
});

describe('a campaign file', () => {
  const campaign = (...lines: string[]) => readCampaignFile(`---\n${lines.join('\n')}\n---\nAbout.\n`, 'campaign.md');
  const GOOD = ['title: Robot', 'riders: { robot: { name: Robot, kind: robot } }'];

  test('is read: riders, reference by circuit, targets', () => {
    const { campaign: read, problems } = campaign(
      ...GOOD,
      'reference: { flats: 2026-01-05-track/run-01.csv/3 }',
      'targets: [{ name: close, gap: "5 s", due: 2026-06-01 }, { name: lap, lapTime: "1:32.4" }]',
    );
    expect(problems).toEqual([]);
    expect(read!.reference('flats')).toEqual({ session: '2026-01-05-track', run: 'run-01.csv', lap: 3 });
    expect(read!.reference('elsewhere')).toBeNull();
    expect(read!.targets).toEqual([
      { name: 'close', due: '2026-06-01', gapS: 5, lapTimeS: null },
      { name: 'lap', due: null, gapS: null, lapTimeS: 92.4 },
    ]);
    expect(read!.about).toBe('About.');
  });

  test('a misspelt key has its line and the nearest one', () => {
    expect(campaign(...GOOD, 'refrence: 2026-01-05-track').problems).toMatchObject([
      { code: 'KEY_UNKNOWN', place: { line: 4, key: 'refrence' }, remedy: 'perhaps `reference`' },
    ]);
    expect(campaign('title: Robot', 'riders: { robot: { name: Robot, kind: robott } }').problems).toMatchObject([
      { code: 'VALUE_INVALID', place: { line: 3, key: 'riders.robot.kind' }, found: '`robott`' },
    ]);
    expect(campaign(...GOOD, 'reference: 2026-01-05-track/run-01.csv/third').problems).toMatchObject([
      { code: 'VALUE_INVALID', place: { line: 4, key: 'reference' } },
    ]);
  });
});
