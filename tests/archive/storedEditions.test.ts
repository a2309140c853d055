import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { editionFile } from '../../src/archive/editionFile.ts';
import { editionsIn } from '../../src/archive/editionsIn.ts';
import { verifyBytes } from '../../src/archive/verifyBytes.ts';
import { machine } from '../../src/effects.ts';
import { bytesBelow } from '../cli/smallDemo.ts';
import { brokenRules } from './rules.ts';

const folder = fileURLToPath(new URL('../../content/editions', import.meta.url));
const tool = fileURLToPath(new URL('../../src/cli/gapbook.mjs', import.meta.url));
const stored = readdirSync(folder, { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .flatMap(({ name }) => readdirSync(join(folder, name)).map((number) => `${name}/${number}`));

/** Three editions of at most 4 MB are what the demo is to carry. */
const MOST_BYTES = 4e6;

test('the demo has the editions that its scenario tells of, and all can be read', async () => {
  expect(stored.sort()).toEqual(['five-seconds/1', 'twelve-seconds/1', 'twelve-seconds/2']);
  const { editions, unreadable } = await editionsIn(folder, machine());
  expect(unreadable).toEqual([]);
  // The lap that the operator ended is counted in the first alone: four laps of the robot's that day, then three.
  expect(editions.map(({ record }) => record.figures?.laps)).toEqual([4, 3, 4]);
});

describe.each(stored)('the stored edition %s', (name) => {
  const bag = join(folder, name);

  test('is as it was when it was published, by our rules and those of the RFC', async () => {
    const { findings, edition } = await verifyBytes(bag, machine());
    expect(findings).toEqual([]);
    expect(edition).toBe(name.replace('/', ' '));
    expect(brokenRules(bag)).toEqual([]);
  });

  test('is light, and holds no log', () => {
    const held = bytesBelow(bag);
    expect([...held.keys()].filter((path) => /inputs\/sessions\/.*\.(csv|gz)$/.test(path))).toEqual([]);
    expect([...held.keys()].reduce((sum, path) => sum + readFileSync(join(bag, path)).length, 0)).toBeLessThan(
      MOST_BYTES,
    );
    const { inputs } = editionFile.parse(JSON.parse(readFileSync(join(bag, 'data/edition.json'), 'utf8')));
    const logs = Object.entries(inputs).filter(([, { here }]) => !here);
    expect(logs.length).toBeGreaterThan(2);
    for (const [, { sha256 }] of logs) expect(sha256).toMatch(/^[0-9a-f]{64}$/);
  });
});

test('verify says what it needs to recompute one without its logs, and that is no fault', () => {
  const { status, stdout } = spawnSync(process.execPath, [tool, 'verify', join(folder, 'five-seconds/1')], {
    encoding: 'utf8',
  });
  expect(status).toBe(0);
  expect(stdout).toContain('each as it was when the bag was made');
  expect(stdout).toContain('The figures cannot be recomputed: it was published without sessions/');
  expect(stdout).toContain('--sessions');
});
