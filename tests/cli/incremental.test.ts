import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import {
  appendFileSync,
  cpSync,
  existsSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { addSession, bytesBelow, differing, SESSIONS, smallDemo } from './smallDemo.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

const command = [
  ...[join(root, 'src/cli/gapbook.mjs'), 'build'],
  ...['--sessions', 'sessions', '--out', 'site', '--cache', 'cache'],
];

/** Builds as a user does, with the working folder where the inputs lie; returns what was said. */
function build(home: string, env: Record<string, string>): string[] {
  const { status, stdout, stderr } = spawnSync(process.execPath, command, {
    cwd: home,
    encoding: 'utf8',
    env: { ...process.env, ...env },
  });
  expect(status, stderr).toBe(0);
  return stdout.trim().split('\n');
}

// The time allows for builds of other tests, which go one at a time.
test('a site built on what is kept is, to the byte, that of a first build in another folder, zone and language', {
  timeout: 400_000,
}, () => {
  const { home, content, sessions } = smallDemo();
  const [reference, robot] = SESSIONS;
  const again = (): string[] => build(home, { TZ: 'UTC', LANG: 'C' });
  again();
  /** Builds on what is kept, and the same inputs from nothing elsewhere, and compares. */
  const compared = (): string[] => {
    const said = again();
    const other = mkdtempSync(join(tmpdir(), 'gapbook-elsewhere-'));
    for (const name of ['content', 'sessions']) cpSync(join(home, name), join(other, name), { recursive: true });
    build(other, { TZ: 'Asia/Kathmandu', LANG: 'tr_TR.UTF-8', LC_ALL: 'tr_TR.UTF-8' });
    expect(differing(join(home, 'site'), join(other, 'site'))).toEqual([]);
    return said.slice(0, -1);
  };

  appendFileSync(join(sessions, robot, 'session.md'), '\nThe wind had turned.\n');
  // What a note shows of other sessions has to follow them, too: here what is the latest.
  appendFileSync(join(sessions, reference, 'session.md'), '\nThe robot is :value{gap of=latest} behind.\n');
  expect(compared()).toEqual([`new notes of ${reference}`, `new notes of ${robot}`, '2 of 2 sessions unchanged']);

  const week = join(content, 'weeks', '2026-W04.md');
  writeFileSync(week, readFileSync(week, 'utf8').replace('The model', 'In the end the model'));
  expect(compared()).toEqual(['2 of 2 sessions unchanged']);

  const site = (...path: string[]): string => join(home, 'site', ...path);
  const earlier = bytesBelow(site());
  const stamps = (): number[] =>
    [...earlier.keys()]
      .filter((path) => /^(laps|tables\/laps)\//.test(path))
      .map((path) => statSync(site(path)).ctimeMs);
  const written = stamps();
  addSession(sessions, '2026-02-03-first', '2026-02-03-früh');
  expect(compared()).toEqual(['analysed 2026-02-03-früh: new', '2 of 3 sessions unchanged']);
  // What belongs to the laps of other sessions alone was not touched.
  expect(written.length).toBeGreaterThan(30);
  expect(stamps()).toEqual(written);

  // A page or a table that somebody changed or removed in the site comes back, though nothing else changed.
  const now = bytesBelow(site());
  expect([...now.keys()].filter((path) => path.startsWith('laps/2026-02-03-früh/')).length).toBeGreaterThan(2);
  const [table, other] = [...now.keys()].filter((path) => /^tables\/laps\/.*\.csv$/.test(path));
  for (const path of ['index.html', table!]) writeFileSync(site(path), 'scribble');
  for (const path of [`sessions/${reference}.html`, other!]) rmSync(site(path));
  for (const path of ['stray.html', join('tables', 'stray.csv')]) writeFileSync(site(path), '');
  expect(again()[0]).toBe('3 of 3 sessions unchanged');
  expect(bytesBelow(site())).toEqual(now);

  rmSync(join(sessions, '2026-02-03-früh'), { recursive: true });
  expect(again()[0]).toBe('removed 2026-02-03-früh: its session is gone');
  expect(bytesBelow(site())).toEqual(earlier);
  expect(existsSync(site('laps', '2026-02-03-früh'))).toBe(false);

  if (process.env['GAPBOOK_FULL'] !== '1') return;
  const campaign = join(content, 'campaign.md');
  writeFileSync(campaign, readFileSync(campaign, 'utf8').replace('title: ', 'title: Again, '));
  rmSync(join(sessions, robot), { recursive: true });
  expect(compared()).toEqual([`removed ${robot}: its session is gone`, '2 of 2 sessions unchanged']);
});

test('a build that is killed leaves no front page; the next one makes the site whole', {
  timeout: 400_000,
}, async () => {
  const { home, sessions } = smallDemo();
  build(home, {});
  const whole = bytesBelow(join(home, 'site'));
  const notes = join(sessions, SESSIONS[1], 'session.md');
  const before = readFileSync(notes);
  appendFileSync(notes, '\nThe wind had turned.\n');
  const front = join(home, 'site', 'index.html');
  const killed = spawn(process.execPath, command, { cwd: home, stdio: 'ignore' });
  const ended = once(killed, 'exit');
  while (existsSync(front) && killed.exitCode === null) await pause(5);
  killed.kill('SIGKILL');
  await ended;
  expect(existsSync(front)).toBe(false);
  writeFileSync(notes, before);
  build(home, {});
  expect(bytesBelow(join(home, 'site'))).toEqual(whole);
});
