import { mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { dirname } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type { Effects } from '../effects.ts';
import { UsageError } from './command.ts';

/** Astro bundles the pages of a clone in one place, so one build at a time. */
export const LOCK = fileURLToPath(new URL('../../.astro/build.lock', import.meta.url));

/** How long a build waits for another to end, ms. */
const PATIENCE_MS = 15 * 60_000;
const LOOK_MS = 200;

/**
 * Does something that only one process at a time may do, as told by a file that holds the number of the process. What a
 * process that has ended left behind is taken over.
 *
 * @throws UsageError where another process still holds the file after `patienceMs`
 */
export async function alone<T>(
  file: string,
  effects: Effects,
  work: () => Promise<T>,
  patienceMs: number = PATIENCE_MS,
): Promise<T> {
  await mkdir(dirname(file), { recursive: true });
  for (let waitedMs = 0; !(await taken(file)); waitedMs += LOOK_MS) {
    const holder = Number(await readFile(file, 'utf8').catch(() => ''));
    if (holder > 0 && !running(holder)) {
      await takeAway(file, holder);
      effects.err(`process ${holder} ended in the middle of a build; building again`);
      continue;
    }
    if (waitedMs >= patienceMs)
      throw new UsageError(
        `process ${holder || 'unknown'} has been building in this folder of gapbook for ${Math.round(waitedMs / 1000)} s; wait for it, or end it, or delete ${file} if no build runs`,
      );
    if (waitedMs === 0) effects.err(`waiting for the build of process ${holder || 'unknown'} to end`);
    effects.progress(`waiting for process ${holder}, ${Math.round(waitedMs / 1000)} s`);
    await pause(LOOK_MS);
  }
  try {
    return await work();
  } finally {
    await rm(file, { force: true });
  }
}

/** Takes the file if nobody has it. */
async function taken(file: string): Promise<boolean> {
  try {
    await writeFile(file, String(process.pid), { flag: 'wx' });
    return true;
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'EEXIST') return false;
    throw error;
  }
}

function running(pid: number): boolean {
  // After a restart of a machine or a container our own number may be that of the one that ended.
  if (pid === process.pid) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error instanceof Error && 'code' in error && error.code === 'EPERM';
  }
}

/** Removes the file of an ended process. Of several that find it, one alone can move it away. */
async function takeAway(file: string, holder: number): Promise<void> {
  const aside = `${file}.${process.pid}`;
  try {
    await rename(file, aside);
  } catch {
    return;
  }
  // Another may have taken it over between the look and the move: then it is given back.
  if (Number(await readFile(aside, 'utf8')) === holder) await rm(aside, { force: true });
  else await rename(aside, file);
}
