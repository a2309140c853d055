import { spawnSync } from 'node:child_process';
import { appendFileSync, cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { addSession, bytesBelow, differing, SESSIONS, smallDemo } from './smallDemo.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** Builds as a user does, with the working folder where the inputs lie; returns what was said. */
function build(home: string, env: Record<string, string>): string[] {
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    [join(root, 'src/cli/gapbook.mjs'), 'build', '--sessions', 'sessions', '--out', 'site', '--cache', 'cache'],
    { cwd: home, encoding: 'utf8', env: { ...process.env, ...env } },
  );
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

  addSession(sessions, '2026-02-03-first');
  expect(compared()).toEqual(['analysed 2026-02-03-first: new', '2 of 3 sessions unchanged']);

  // A page that somebody changed or removed in the site comes back, though nothing else changed.
  const before = bytesBelow(join(home, 'site'));
  writeFileSync(join(home, 'site', 'index.html'), 'scribble');
  rmSync(join(home, 'site', 'sessions', `${reference}.html`));
  writeFileSync(join(home, 'site', 'stray.html'), '');
  expect(again()[0]).toBe('3 of 3 sessions unchanged');
  expect([...bytesBelow(join(home, 'site'))].filter(([path, bytes]) => before.get(path) !== bytes)).toEqual([]);

  if (process.env['GAPBOOK_FULL'] !== '1') return;
  const campaign = join(content, 'campaign.md');
  writeFileSync(campaign, readFileSync(campaign, 'utf8').replace('title: ', 'title: Again, '));
  rmSync(join(sessions, robot), { recursive: true });
  expect(compared()).toEqual([`removed ${robot}: its session is gone`, '2 of 2 sessions unchanged']);
});
