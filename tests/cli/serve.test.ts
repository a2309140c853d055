import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { listen } from '../../src/cli/serve.ts';

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
