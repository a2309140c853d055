import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { alone } from '../../src/cli/lock.ts';
import { memory } from '../campaign/memory.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const fresh = (): string => join(mkdtempSync(join(tmpdir(), 'gapbook-lock-')), 'deep', 'build.lock');

/** A process that holds the lock for a time and notes when it began and ended, with nobody else in between. */
function holder(file: string, log: string, ms: number): ChildProcess & { readonly ended: Promise<number | null> } {
  const code = `
    import { appendFileSync } from 'node:fs';
    import { setTimeout as pause } from 'node:timers/promises';
    import { alone } from './src/cli/lock.ts';
    import { machine } from './src/effects.ts';
    await alone(${JSON.stringify(file)}, machine(), async () => {
      appendFileSync(${JSON.stringify(log)}, 'begin ' + process.pid + '\\n');
      await pause(${ms});
      appendFileSync(${JSON.stringify(log)}, 'end ' + process.pid + '\\n');
    });`;
  const child = spawn(process.execPath, ['--input-type=module', '-e', code], { cwd: root, stdio: 'ignore' });
  const ended = new Promise<number | null>((done) => child.once('exit', done));
  return Object.assign(child, { ended });
}

const lines = (file: string): string[] => (existsSync(file) ? readFileSync(file, 'utf8').trim().split('\n') : []);

async function until(condition: () => boolean): Promise<void> {
  while (!condition()) await new Promise((done) => setTimeout(done, 20));
}

test('of four processes that begin at once each works alone', async () => {
  const file = fresh();
  const log = join(dirname(dirname(file)), 'log');
  const children = [1, 2, 3, 4].map(() => holder(file, log, 100));
  expect(await Promise.all(children.map(({ ended }) => ended))).toEqual([0, 0, 0, 0]);
  const seen = lines(log);
  expect(seen).toHaveLength(8);
  for (let i = 0; i < 8; i += 2) expect(seen[i + 1]).toBe(seen[i]!.replace('begin', 'end'));
  expect(readdirSync(dirname(file))).toEqual([]);
});

test('what a process left that was killed is taken over by one of those that wait, with a note', async () => {
  const file = fresh();
  const log = join(dirname(dirname(file)), 'log');
  const first = holder(file, log, 60_000);
  await until(() => lines(log).length === 1);
  first.kill('SIGKILL');
  await first.ended;
  const others = [1, 2, 3].map(() => holder(file, log, 100));
  expect(await Promise.all(others.map(({ ended }) => ended))).toEqual([0, 0, 0]);
  const seen = lines(log).slice(1);
  for (let i = 0; i < 6; i += 2) expect(seen[i + 1]).toBe(seen[i]!.replace('begin', 'end'));

  writeFileSync(file, String(first.pid));
  const effects = memory({});
  expect(await alone(file, effects, async () => 7)).toBe(7);
  expect(effects.said).toEqual([`process ${first.pid} ended in the middle of a build; building again`]);
});

test('whoever waits in vain is told by whom and what to do', async () => {
  const file = fresh();
  const log = join(dirname(dirname(file)), 'log');
  const first = holder(file, log, 60_000);
  await until(() => lines(log).length === 1);
  const effects = memory({});
  await expect(alone(file, effects, async () => 7, 300)).rejects.toThrow(
    `process ${first.pid} has been building in this folder of gapbook`,
  );
  expect(effects.said).toEqual([`waiting for the build of process ${first.pid} to end`]);
  expect(existsSync(file)).toBe(true);
  first.kill('SIGKILL');
});

test('the lock goes when the work fails, and the failure is handed on', async () => {
  const file = fresh();
  await expect(alone(file, memory({}), () => Promise.reject(new Error('no room')))).rejects.toThrow('no room');
  expect(existsSync(file)).toBe(false);
});
