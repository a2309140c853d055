import { spawnSync } from 'node:child_process';
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { SESSIONS, smallDemo } from './smallDemo.ts';

const program = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));

// The time allows for a machine that has much else to do.
test('the note of a week: scaffolded, confirmed, changed with its inputs, untrue outside its range', {
  timeout: 400_000,
}, () => {
  const { home, content, sessions } = smallDemo();
  const gapbook = (command: string, ...args: string[]) => {
    const cache = command === 'check' ? [] : ['--cache', 'cache'];
    const all = [program, command, ...args, '--sessions', 'sessions', ...cache];
    const { status, stdout, stderr } = spawnSync(process.execPath, all, { cwd: home, encoding: 'utf8' });
    return { status, stdout, stderr };
  };
  const week = join(content, 'weeks', '2026-W04.md');
  rmSync(week);

  // 2026-01-20 is a Tuesday, of the week that begins on 2026-01-19.
  expect(gapbook('new', 'week', '2026-01-20')).toMatchObject({
    status: 2,
    stderr: expect.stringContaining('2026-W04'),
  });
  // 2026 has 53 weeks, as it begins on a Thursday.
  expect(gapbook('new', 'week', '2026-W54').status).toBe(2);
  expect(gapbook('new', 'week', '2026-W04').status).toBe(0);
  expect(gapbook('new', 'week', '2026-W04').status).toBe(2);
  const text = readFileSync(week, 'utf8');
  expect(text.match(/:claim\[.*? on=[0-9a-f]{12}\}/g)?.length).toBeGreaterThan(3);
  expect(gapbook('check')).toMatchObject({ status: 0, stderr: expect.not.stringContaining('CLAIM') });

  const session = join(sessions, SESSIONS[1], 'session.md');
  writeFileSync(session, readFileSync(session, 'utf8').replace('machine: "model 2"', 'machine: "model 9"'));
  expect(gapbook('check')).toMatchObject({ status: 0, stderr: expect.stringContaining('CLAIM_CHANGED') });
  expect(gapbook('confirm', 'weeks/2026-W04.md').status).toBe(0);
  expect(gapbook('confirm', 'weeks/2026-W77.md')).toMatchObject({
    status: 2,
    stderr: expect.stringContaining('weeks/2026-W04.md'),
  });
  const again = readFileSync(week, 'utf8');
  expect(again).not.toBe(text);
  // Nothing but the marks is another.
  expect(again.replace(/on=\w+/g, '')).toBe(text.replace(/on=\w+/g, ''));

  writeFileSync(week, `${again}\nIt flew :claim[to the moon]{laps from=1000}.\n`);
  const { status, stderr } = gapbook('check');
  expect(status).toBe(1);
  expect(stderr).toMatch(/stop CLAIM_UNTRUE weeks\/2026-W04\.md:\d+/);
  expect(stderr).not.toContain('CLAIM_CHANGED');
  expect(gapbook('confirm', 'weeks/2026-W04.md')).toMatchObject({ status: 1, stderr: expect.stringContaining('moon') });
});
