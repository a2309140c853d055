import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, expect, test } from 'vitest';
import { pack, packed } from '../../src/cli/packed.mjs';

const ENTRY = 'src/cli/say.ts';
let root = '';
afterEach(() => {
  if (root) rmSync(root, { recursive: true, force: true });
  root = '';
});

function project(): void {
  root = mkdtempSync(join(tmpdir(), 'gapbook-pack-'));
  write('package-lock.json', '{}');
  write(ENTRY, "import { word } from '../word.ts';\nconsole.log(word, new URL('../..', import.meta.url).href);\n");
  write('src/word.ts', "export const word: string = 'one';\n");
  write('node_modules/empty.txt', '');
}

function write(path: string, text: string): void {
  mkdirSync(dirname(join(root, path)), { recursive: true });
  writeFileSync(join(root, path), text);
}

const run = (path: string): string => spawnSync(process.execPath, [path], { encoding: 'utf8' }).stdout.trim();

test('a pack does what its sources do, and finds the root from where it lies', async () => {
  project();
  expect(packed(ENTRY, root)).toBeNull();
  await pack(ENTRY, root);
  const path = packed(ENTRY, root)!;
  expect(path).not.toBeNull();
  expect(run(path)).toBe(run(join(root, ENTRY)));
});

test('a pack is left alone once a source, or a version of a package, is another, and made anew when asked', async () => {
  project();
  await pack(ENTRY, root);
  write('src/word.ts', "export const word: string = 'two';\n");
  expect(packed(ENTRY, root)).toBeNull();
  await pack(ENTRY, root);
  expect(run(packed(ENTRY, root)!)).toMatch(/^two /);
  write('package-lock.json', '{ }');
  expect(packed(ENTRY, root)).toBeNull();
});

test('a pack whose sources are gone or that is damaged is none', async () => {
  project();
  await pack(ENTRY, root);
  rmSync(join(root, 'src/word.ts'));
  expect(packed(ENTRY, root)).toBeNull();
  write('src/word.ts', "export const word: string = 'one';\n");
  expect(packed(ENTRY, root)).not.toBeNull();
  write('node_modules/.gapbook-say/sources.json', '{');
  expect(packed(ENTRY, root)).toBeNull();
});

test('every command starts from its pack', async () => {
  await pack('src/cli/main.ts');
  const main = packed('src/cli/main.ts')!;
  for (const command of ['check', 'build', 'gap', 'new', 'confirm', 'serve', 'publish', 'verify', 'print']) {
    const { stdout, stderr } = spawnSync(process.execPath, [main, command, '--help'], { encoding: 'utf8' });
    expect(stderr).toBe('');
    expect(stdout).toMatch(new RegExp(`^gapbook ${command}`));
  }
  const source = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));
  expect(run(main)).toBe(run(source));
});
