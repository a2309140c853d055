import { mkdirSync, mkdtempSync, readdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { checkOut, emptyOut } from '../../src/cli/outFolder.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const fresh = (): string => mkdtempSync(join(tmpdir(), 'gapbook-out-'));
const refused = (out: string, taken: { name: string; path: string }[] = []): Promise<string> =>
  checkOut(out, taken).then(
    () => '',
    (error: Error) => error.message,
  );

describe('the folder of a site', () => {
  test('may be new, empty, a repository of its own, or a site of ours', async () => {
    const folder = fresh();
    expect(await refused(join(folder, 'new', 'deep'))).toBe('');
    expect(await refused(folder)).toBe('');
    mkdirSync(join(folder, '.git'));
    expect(await refused(folder)).toBe('');
    writeFileSync(join(folder, 'campaign.json'), '{"tool":{"name":"gapbook","version":"0.0.1"}}');
    writeFileSync(join(folder, 'index.html'), '');
    expect(await refused(folder)).toBe('');
  });

  test('that holds files of somebody else is refused and left as it is', async () => {
    const folder = fresh();
    for (const name of ['letters', 'photographs', 'taxes', 'campaign.json']) writeFileSync(join(folder, name), '{}');
    expect(await refused(folder)).toBe(
      `--out ${folder} holds files that gapbook did not make (campaign.json, letters, photographs, …), and a build empties it; give an empty folder or a new one`,
    );
    expect(readdirSync(folder)).toHaveLength(4);
  });

  test('may not be a file', async () => {
    const file = join(fresh(), 'site');
    writeFileSync(file, '');
    expect(await refused(file)).toContain('is a file');
  });

  test('may neither hold nor lie in a folder of inputs, by whatever name it is reached', async () => {
    const folder = fresh();
    const inputs = join(folder, 'inputs');
    mkdirSync(inputs);
    const taken = [{ name: 'the sessions', path: inputs }];
    symlinkSync(inputs, join(folder, 'alias'));
    expect(await refused(inputs, taken)).toContain('is or holds the folder of the sessions');
    expect(await refused(folder, taken)).toContain('is or holds the folder of the sessions');
    expect(await refused(join(inputs, 'site'), taken)).toContain('lies in the folder of the sessions');
    expect(await refused(join(folder, 'alias', 'site', 'deep'), taken)).toContain('lies in the folder of the sessions');
    expect(await refused(join(folder, 'inputs-site'), taken)).toBe('');
    expect(await refused(join(folder, '..site'), [{ name: 'the sessions', path: folder }])).toContain('lies in');
  });

  test('may lie in the folder of gapbook but not be it or hold it', async () => {
    expect(await refused(join(root, 'no-such-folder'))).toBe('');
    expect(await refused(root)).toContain('gapbook itself');
    expect(await refused(join(root, '..'))).toContain('gapbook itself');
  });

  test('keeps its mark and its repository when it is emptied', async () => {
    const folder = fresh();
    mkdirSync(join(folder, '.git'));
    mkdirSync(join(folder, 'laps'));
    writeFileSync(join(folder, 'laps', 'old.html'), '');
    for (const name of ['campaign.json', 'index.html']) writeFileSync(join(folder, name), '{}');
    await emptyOut(folder);
    expect(readdirSync(folder).sort()).toEqual(['.git', 'campaign.json']);
    await emptyOut(join(folder, 'not there'));
  });
});
