import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { publishEdition } from '../../src/archive/publishEdition.ts';
import { type Effects, machine } from '../../src/effects.ts';
import { bytesBelow } from '../cli/smallDemo.ts';
import { seeded } from '../simulator/seeded.ts';
import { fill } from './filled.ts';
import { brokenRules } from './rules.ts';

const full = process.env['GAPBOOK_FULL'] === '1';
const real = machine();

/** A folder of editions in which one is published already. */
async function home(): Promise<{ folder: string; first: Map<string, string> }> {
  const folder = join(mkdtempSync(join(tmpdir(), 'gapbook-editions-')), 'one-second');
  await publishEdition(folder, (bag) => fill(bag, real), real);
  return { folder, first: bytesBelow(join(folder, '1')) };
}

/** Everything that may be seen in a folder of editions is whole, and the first edition is as it was. */
function whole(folder: string, first: Map<string, string>): number {
  const seen = readdirSync(folder).filter((name) => !name.startsWith('.'));
  expect(bytesBelow(join(folder, '1'))).toEqual(first);
  for (const name of seen) expect(brokenRules(join(folder, name))).toEqual([]);
  return seen.length;
}

const CHANGING = ['write', 'remove', 'copy', 'move', 'settle'] as const;

/**
 * Effects that fail at the nth thing they would change.
 *
 * @param then what they do after it: work again, as on a full disk when something was removed, or fail, as for a process
 *   that has ended
 */
function failing(nth: number, error: Error, then: 'work' | 'fail'): Effects & { count(): number } {
  let count = 0;
  const effects = { ...real, count: () => count };
  for (const name of CHANGING) {
    const change = real[name] as (...args: unknown[]) => Promise<void>;
    (effects as Record<string, unknown>)[name] = async (...args: unknown[]) => {
      count++;
      if (count === nth || (count > nth && then === 'fail')) throw error;
      return change(...args);
    };
  }
  return effects;
}

test('ended before any of the things it changes, a publication leaves the whole edition or none', async () => {
  const { folder, first } = await home();
  let published = 0;
  const steps = failing(Number.POSITIVE_INFINITY, new Error(), 'fail');
  await publishEdition(folder, (bag) => fill(bag, steps), steps);
  published++;
  for (let nth = 1; nth <= steps.count(); nth += full ? 1 : 7) {
    const effects = failing(nth, new Error('ended'), 'fail');
    await publishEdition(folder, (bag) => fill(bag, effects), effects).catch(() => {});
    const now = whole(folder, first) - 1;
    expect([published, published + 1]).toContain(now);
    published = now;
  }
  // And the next one finds nothing in its way.
  await publishEdition(folder, (bag) => fill(bag, real), real);
  expect(whole(folder, first)).toBe(published + 2);
});

test('on a full disk nothing is published, nothing is left behind, and it is said', async () => {
  const { folder, first } = await home();
  const steps = failing(Number.POSITIVE_INFINITY, new Error(), 'work');
  const other = await home();
  await publishEdition(other.folder, (bag) => fill(bag, steps), steps);
  const space = Object.assign(new Error('ENOSPC: no space left on device'), { code: 'ENOSPC' });
  // The last two things are the move to its place and the list of names, after which it is there.
  for (let nth = 1; nth < steps.count() - 1; nth += full ? 1 : 7) {
    const effects = failing(nth, space, 'work');
    await expect(publishEdition(folder, (bag) => fill(bag, effects), effects)).rejects.toThrow('ENOSPC');
    expect(readdirSync(folder)).toEqual(['1']);
  }
  whole(folder, first);
});

test('a place that was taken in the meantime is not overwritten', async () => {
  const { folder, first } = await home();
  const make = async (bag: string) => {
    await publishEdition(`${folder}-elsewhere`, (there) => fill(there, real), real);
    await real.move(join(`${folder}-elsewhere`, '1'), join(folder, '2'));
    return fill(bag, real);
  };
  await expect(publishEdition(folder, make, real)).rejects.toThrow();
  expect(whole(folder, first)).toBe(2);
});

// Moments drawn with a fixed seed over the time that a publication takes.
test('killed at random moments, a publication leaves the whole edition or none', { timeout: 300_000 }, async () => {
  const { folder, first } = await home();
  const random = seeded('moments');
  const child = fileURLToPath(new URL('childPublish.ts', import.meta.url));
  const run = async (killedAfterMs: number): Promise<number> => {
    const started = spawn(process.execPath, [child, folder], { stdio: ['ignore', 'pipe', 'inherit'] });
    const ended = new Promise((resolve) => started.on('exit', resolve));
    await new Promise((resolve) => started.stdout.once('data', resolve));
    const from = performance.now();
    if (killedAfterMs < Number.POSITIVE_INFINITY) {
      await Promise.race([pause(killedAfterMs), ended]);
      started.kill('SIGKILL');
    }
    await ended;
    return performance.now() - from;
  };
  const wholeMs = await run(Number.POSITIVE_INFINITY);
  let published = whole(folder, first);
  let cut = 0;
  for (let i = 0; i < (full ? 50 : 8); i++) {
    await run(random.uniform() * wholeMs);
    const now = whole(folder, first);
    expect([published, published + 1]).toContain(now);
    if (now === published) cut++;
    published = now;
  }
  expect(cut).toBeGreaterThan(0);
});
