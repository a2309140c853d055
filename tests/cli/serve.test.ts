import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { afterAll, expect, test } from 'vitest';
import { listen } from '../../src/cli/serve.ts';
import { differing, SESSIONS, smallDemo } from './smallDemo.ts';

/** Asks for a path exactly as written, without the tidying that `fetch` does. */
function get(address: string, path: string): Promise<{ status: number; type: string; body: string }> {
  const { hostname, port } = new URL(address);
  return new Promise((done, failed) => {
    const asked = request({ hostname, port, path }, async (response) => {
      let body = '';
      for await (const chunk of response) body += String(chunk);
      done({ status: response.statusCode ?? 0, type: String(response.headers['content-type']), body });
    });
    asked.on('error', failed).end();
  });
}

test('a folder is served on this machine alone, and nothing outside it', async () => {
  const home = mkdtempSync(join(tmpdir(), 'gapbook-serve-'));
  const site = join(home, 'site');
  mkdirSync(join(site, 'laps'), { recursive: true });
  mkdirSync(join(home, 'site-private'));
  writeFileSync(join(site, 'index.html'), 'front');
  writeFileSync(join(site, 'laps', 'lap é.html'), 'lap');
  writeFileSync(join(home, 'secret.txt'), 'secret');
  writeFileSync(join(home, 'site-private', 'secret.txt'), 'secret');
  const address = await listen(site, 0);
  expect(new URL(address).hostname).toBe('127.0.0.1');
  expect(await get(address, '/')).toEqual({ status: 200, type: 'text/html; charset=utf-8', body: 'front' });
  expect((await get(address, '/laps/lap%20%C3%A9.html')).body).toBe('lap');
  for (const path of [
    '/nothing.html',
    '/laps/',
    '/../secret.txt',
    '/%2e%2e/secret.txt',
    '/..%2fsecret.txt',
    '/../site-private/secret.txt',
    '/..%2fsite-private/secret.txt',
    '/%00',
    '/%E0%A4%A',
  ])
    expect([path, (await get(address, path)).status]).toEqual([path, 404]);
});

const program = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));
const started: ChildProcess[] = [];
afterAll(() => {
  for (const child of started) child.kill();
});

/** Serves a small demo as a user does; resolves once it says where. */
function served(home: string): Promise<string> {
  const options = ['--sessions', 'sessions', '--out', 'site', '--cache', 'cache', '--port', '0'];
  const child = spawn(process.execPath, [program, 'serve', ...options], {
    cwd: home,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  started.push(child);
  child.stderr.resume();
  return new Promise((done, failed) => {
    let said = '';
    child.stdout.on('data', (piece: Buffer) => {
      said += String(piece);
      const address = /at (http:\S+)/.exec(said)?.[1];
      if (address) done(address);
    });
    child.once('exit', () => failed(new Error(`It ended: ${said}`)));
  });
}

/** What the server tells those who wait for a change, one word after the other. */
async function changes(address: string): Promise<() => Promise<string>> {
  const { body } = await fetch(`${address}-/changes`);
  const reader = body!.getReader();
  return async () => new TextDecoder().decode((await reader.read()).value);
}

// The time allows for builds of other tests, which go one at a time.
test('a page that is served follows its note, says what is wrong with it, and the folder follows', {
  timeout: 900_000,
}, async () => {
  const { home, content, sessions } = smallDemo();
  const address = await served(home);
  const next = await changes(address);
  await next();
  const week = join(content, 'weeks', '2026-W04.md');
  const session = join(sessions, SESSIONS[1], 'session.md');
  const page = async (path: string): Promise<string> => (await fetch(address + path)).text();

  expect(await page('weeks/2026-W04.html')).toContain('1 problem, 1 in the notes of this page');
  const text = readFileSync(week, 'utf8');
  writeFileSync(week, text.replace('from=5 to=15', 'from=500').replace('The model', 'The <b>new</b> model'));
  await next();
  const wrong = await page('weeks/2026-W04.html');
  expect(wrong).toContain('The new model');
  expect(wrong).toContain('weeks/2026-W04.md:6 · stops');
  expect(wrong).toContain('at least 500');

  writeFileSync(week, 'next: [');
  await next();
  expect(await page('')).toContain('id="live"');

  writeFileSync(week, text);
  await next();
  writeFileSync(
    session,
    `${readFileSync(session, 'utf8')}\nThe :::aside of it: corner 99 is :value{loss corner=99}.\n`,
  );
  await next();
  const own = await page(`sessions/${SESSIONS[1]}.html`);
  expect(own).toContain('no corner 99; this circuit has 1 to 11');
  writeFileSync(session, readFileSync(session, 'utf8').replace(/\n.*corner 99.*\n/, '\nIt was cold.\n'));
  await next();

  // The folder holds in the end what a first build of the same inputs writes.
  const other = mkdtempSync(join(tmpdir(), 'gapbook-cold-'));
  for (const name of ['content', 'sessions']) cpSync(join(home, name), join(other, name), { recursive: true });
  const options = ['--sessions', 'sessions', '--out', 'site', '--cache', 'cache'];
  const { status, stderr } = spawnSync(process.execPath, [program, 'build', ...options], {
    cwd: other,
    encoding: 'utf8',
  });
  expect(status, stderr).toBe(0);
  let apart = differing(join(home, 'site'), join(other, 'site'));
  for (let waits = 0; apart.length > 0 && waits < 60; waits++) {
    await pause(500);
    apart = differing(join(home, 'site'), join(other, 'site'));
  }
  expect(apart).toEqual([]);
});
