import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { FileHashes } from '../../src/campaign/fileHashes.ts';
import { difference } from '../../src/campaign/inputs.ts';
import { Kept } from '../../src/campaign/kept.ts';
import { steadyTexts } from '../../src/campaign/steadyTexts.ts';
import { memory } from './memory.ts';

// Source of the hashes: Node's own SHA-256 over the text.
const hash = (text: string): string => createHash('sha256').update(text).digest('hex');

/** A file system whose files have an identity that a test sets, and that counts what is opened. */
function disk(files: Record<string, string>) {
  const effects = memory(files);
  const opened: string[] = [];
  const identities = new Map<string, string>();
  return {
    ...effects,
    opened,
    identities,
    identity: async (path: string) => identities.get(path) ?? null,
    chunks(path: string) {
      opened.push(path);
      return effects.chunks(path);
    },
  };
}

describe('the hash of a file', () => {
  test('is taken once for as long as the file looks the same, also by the next build', async () => {
    const effects = disk({ log: 'one' });
    effects.identities.set('log', 'A');
    const first = new FileHashes('kept', effects);
    await first.open();
    expect(await first.of('log')).toBe(hash('one'));
    expect(await first.of('log')).toBe(hash('one'));
    await first.close();
    const second = new FileHashes('kept', effects);
    await second.open();
    expect(await second.of('log')).toBe(hash('one'));
    expect(effects.opened).toEqual(['log']);
  });

  test('is taken again when the file looks different, or changed too lately to tell', async () => {
    const effects = disk({ log: 'one' });
    const hashes = new FileHashes('kept', effects);
    await hashes.open();
    await hashes.of('log');
    effects.files.set('log', 'two');
    expect(await hashes.of('log')).toBe(hash('two'));
    effects.identities.set('log', 'A');
    await hashes.of('log');
    effects.files.set('log', 'six');
    effects.identities.set('log', 'B');
    expect(await hashes.of('log')).toBe(hash('six'));
    expect(effects.opened).toHaveLength(4);
  });

  test('of a file that is not there says so, and a damaged note of hashes is no note', async () => {
    const effects = disk({ kept: '{"log":', log: 'one' });
    const hashes = new FileHashes('kept', effects);
    await hashes.open();
    expect(await hashes.of('nothing')).toBe('missing');
    expect(await hashes.of('log')).toBe(hash('one'));
  });
});

describe('what is kept', () => {
  test('is found again for the very same inputs, and else said to differ in what', async () => {
    const kept = new Kept<number>('folder', memory({}));
    expect(await kept.find('a', {})).toEqual({ value: null, why: 'new' });
    await kept.keep('a', { 'run-01.csv': '1', 'session.md': '2' }, 7);
    expect(await kept.find('a', { 'session.md': '2', 'run-01.csv': '1' })).toEqual({ value: 7, why: '' });
    expect(await kept.find('a', { 'run-01.csv': '3', 'session.md': '2' })).toEqual({
      value: null,
      why: 'run-01.csv changed',
    });
    await kept.forget('a');
    expect((await kept.find('a', {})).value).toBeNull();
  });

  test('counts as absent when its file is damaged', async () => {
    const effects = memory({ 'folder/a.json': '{"inputs":{},"val' });
    expect(await new Kept('folder', effects).find('a', {})).toEqual({ value: null, why: 'new' });
  });
});

test('a difference names what changed, what is new and what is gone', () => {
  expect(difference({ a: '1', b: '1', c: '1' }, { a: '1', b: '2', d: '1' })).toBe('b changed, d new, c gone');
  expect(difference({ a: '1' }, { a: '1' })).toBe('');
});

test('a text that changes during a build is seen as it was first, until the build itself writes it', async () => {
  const effects = memory({ note: 'one' });
  const steady = steadyTexts(effects);
  expect(await steady.text('note')).toBe('one');
  effects.files.set('note', 'two');
  expect(await steady.text('note')).toBe('one');
  await steady.write('note', 'three');
  expect(await steady.text('note')).toBe('three');
});
