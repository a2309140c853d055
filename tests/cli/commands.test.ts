import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
let home: string;

/** Runs the tool as a user does, in a copy of the demo of its own. */
function gapbook(...args: string[]) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [join(root, 'src/cli/gapbook.mjs'), ...args], {
    cwd: home,
    encoding: 'utf8',
  });
  return { status, stdout, stderr };
}

beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'gapbook-cli-'));
  cpSync(join(root, 'content'), join(home, 'content'), { recursive: true });
  cpSync(join(root, 'sample-sessions'), join(home, 'sample-sessions'), { recursive: true });
});
afterAll(() => rmSync(home, { recursive: true, force: true }));

const RUN = 'sample-sessions/2026-03-17-timed/run-01.csv';

describe('usage', () => {
  test('without a command the commands are listed and the status is 2; --help is 0', () => {
    expect(gapbook().status).toBe(2);
    const help = gapbook('--help');
    expect(help.status).toBe(0);
    for (const command of ['check', 'build', 'gap', 'new', 'serve'])
      expect(help.stdout).toContain(`gapbook ${command}`);
    expect(help.stdout).toContain('Riding at the limit can kill');
  });

  test.each(['check', 'build', 'gap', 'new', 'serve'])('%s --help lists its options', (command) => {
    const { status, stdout } = gapbook(command, '--help');
    expect(status).toBe(0);
    expect(stdout).toContain('--content');
    expect(stdout).toContain('Options');
  });

  test.each([
    [['bild'], 'no command `bild`'],
    [['gap', '--agianst', 'x'], '--agianst'],
    [['gap'], 'give one RUN'],
    [['gap', 'nowhere/run.csv'], 'no session.md beside'],
    [['gap', RUN, '--lap', '99'], 'no lap 99'],
    [['new', 'corner', 'x'], '`corner` is not among'],
    [['new', 'circuit', 'saltmarsh', '--from', RUN], 'exists and is left alone'],
    [['build', '--as-of', 'May'], '--as-of takes a date'],
  ])('gapbook %j is wrong usage and says what to change', (args, words) => {
    const { status, stderr } = gapbook(...args);
    expect(status).toBe(2);
    expect(stderr).toContain(words);
  });
});

describe('gap', () => {
  test('prints the best valid lap’s ledger, whose sums are those of the rows shown', () => {
    const { status, stdout } = gapbook('gap', RUN);
    expect(status).toBe(0);
    const rows = stdout
      .split('\n')
      .filter((line) => /^(gate to 1|\d+|lap) +[+−\d]/.test(line))
      .map((line) =>
        line
          .trim()
          .split(/ {2,}/)
          .map((cell) => Number(cell.replace('−', '-'))),
      );
    const body = rows.slice(0, -1);
    const total = rows.at(-1)!;
    for (const column of [1, 2, 3, 4])
      expect(body.reduce((sum, row) => sum + row[column]!, 0)).toBeCloseTo(total[column]!, 9);
    expect(stdout).toContain('lap 4 (flying)');
    expect(stdout).toContain('1:29.461');
  });

  test('--json gives the whole run with cells that sum to each lap’s gap', () => {
    const { stdout } = gapbook('gap', RUN, '--json');
    const result = JSON.parse(stdout) as {
      schema: number;
      runs: { laps: { gapS: number | null; ledger: { gapS: number }[] }[] }[];
    };
    const laps = result.runs[0]!.laps.filter(({ gapS }) => gapS !== null);
    expect(laps).toHaveLength(4);
    for (const { gapS, ledger } of laps)
      expect(Math.abs(ledger.reduce((sum, c) => sum + c.gapS, 0) - gapS!)).toBeLessThan(1e-6);
  });

  test('--against swaps the riders: the same two laps, every sign turned', () => {
    const forth = JSON.parse(gapbook('gap', RUN, '--json').stdout);
    const run = `sample-sessions/${forth.reference.session}/${forth.reference.run}`;
    const back = JSON.parse(gapbook('gap', run, '--against', RUN, '--json').stdout);
    const robot = forth.runs[0].laps.find((l: { lap: number }) => l.lap === 4).gapS;
    const reference = back.runs[0].laps.find((l: { lap: number }) => l.lap === forth.reference.lap).gapS;
    expect(reference).toBeCloseTo(-robot, 6);
    expect(reference).toBeLessThan(0);
    expect(gapbook('gap', run, '--against', RUN).stdout).toContain('ahead');
  });
});

describe('check', () => {
  test('the demo has nothing that stops; every lap is listed with its verdict', () => {
    const { status, stdout } = gapbook('check');
    expect(status).toBe(0);
    expect(stdout).toContain('intervention');
    expect(stdout).toContain('a hole of 0.85 s');
  });

  test('a mistake in a session file is said with line and remedy, status 1, and no other session suffers', () => {
    const path = join(home, 'sample-sessions/2026-02-24-middle/session.md');
    const text = readFileSync(path, 'utf8');
    writeFileSync(path, text.replace('circuit: saltmarsh', 'circiut: saltmarsh'));
    const { status, stdout, stderr } = gapbook('check');
    writeFileSync(path, text);
    expect(status).toBe(1);
    expect(stderr).toMatch(/KEY_UNKNOWN 2026-02-24-middle\/session\.md:4/);
    expect(stderr).toContain('perhaps `circuit`');
    expect(stdout).toContain('2026-03-17-timed / run-01.csv');
  });

  test('an accepted problem no longer stops', () => {
    const path = join(home, 'sample-sessions/2026-02-24-middle/session.md');
    const text = readFileSync(path, 'utf8');
    const bad = text.replace('runs:\n', 'laps: [ { run: run-01.csv, lap: 44, exclude: "typing error" } ]\nruns:\n');
    writeFileSync(path, bad);
    expect(gapbook('check').status).toBe(1);
    writeFileSync(path, bad.replace('runs:\n', 'accept: { LAP_UNKNOWN: "known" }\nruns:\n'));
    const { status, stderr } = gapbook('check');
    writeFileSync(path, text);
    expect(stderr).toContain('accepted: known');
    expect(status).toBe(0);
  });
});

describe('new', () => {
  test('a circuit drawn from laps has the length of the line ridden and carries the same laps', () => {
    const { status, stdout } = gapbook(
      'new',
      'circuit',
      'ridden',
      '--from',
      'sample-sessions/2026-01-13-reference/run-01.csv',
    );
    expect(status).toBe(0);
    // The centre line is 3114.7 m (truth of the demo); a rider's line inside it is a few metres shorter.
    const length = Number(/([\d.]+) m round/.exec(stdout)![1]);
    expect(length).toBeGreaterThan(3098);
    expect(length).toBeLessThan(3114.7);
    rmSync(join(home, 'content/circuits/ridden.geojson'));
  });

  test('a session file names the logs that lie there, and check finds nothing wrong with its form', () => {
    cpSync(join(home, RUN), join(home, 'sample-sessions/2026-04-02-track/morning.csv'), { recursive: true });
    expect(gapbook('new', 'session', '2026-04-02-track').status).toBe(0);
    const text = readFileSync(join(home, 'sample-sessions/2026-04-02-track/session.md'), 'utf8');
    expect(text).toContain('- file: "morning.csv"');
    const { stdout } = gapbook('check');
    expect(stdout).toContain('2026-04-02-track / morning.csv');
    expect(gapbook('new', 'session', '2026-04-02-track').status).toBe(2);
    rmSync(join(home, 'sample-sessions/2026-04-02-track'), { recursive: true });
  });

  test('a session file lists the headings that say nothing by themselves, with their units, and who rides', () => {
    const folder = join(home, 'sample-sessions/2026-04-03-track');
    mkdirSync(folder);
    writeFileSync(join(folder, 'own.csv'), 'time [s];Breite;gear;Gas\ns;°;1;%\n0,0;45,1;2;10\n0,1;45,2;2;11\n');
    expect(gapbook('new', 'session', '2026-04-03-track').status).toBe(0);
    const text = readFileSync(join(folder, 'session.md'), 'utf8');
    expect(text).toContain('#   CHANNEL: { from: "Breite", unit: "');
    expect(text).toContain('#   CHANNEL: { from: "Gas", unit: "%" }');
    expect(text).not.toContain('"gear"');
    expect(text).toMatch(/^rider: robot +#/m);
    rmSync(folder, { recursive: true });
    // The demo's reference is ridden by a human.
    const reference = join(home, 'sample-sessions/2026-01-13-reference/session.md');
    const before = readFileSync(reference, 'utf8');
    rmSync(reference);
    expect(gapbook('new', 'session', '2026-01-13-reference').status).toBe(0);
    expect(readFileSync(reference, 'utf8')).toMatch(/^rider: reference +#.*\ncontroller: null /m);
    writeFileSync(reference, before);
  });

  test('phases raises the version of the map it replaces', () => {
    const path = join(home, 'content/circuits/saltmarsh.phases.yaml');
    const before = readFileSync(path, 'utf8');
    expect(gapbook('new', 'phases', 'saltmarsh').stdout).toContain('version 2');
    expect(readFileSync(path, 'utf8')).toContain('version: 2');
    writeFileSync(path, before);
  });
});
