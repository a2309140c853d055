import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

/**
 * Publishes the demo's three editions, as they would have been on their days: the first milestone, the first milestone
 * again after a lap with the operator's hand on it was taken for what it is, and the second milestone. Without logs, which lie in
 * sample-sessions, and with the pages of the best and the median lap alone, so that they are small.
 *
 *   npx node tests/simulator/make-editions.ts [FOLDER]        content/editions where none is given
 */
const root = fileURLToPath(new URL('../..', import.meta.url));
const stored = join(root, 'content/editions');
const editions = resolve(process.argv[2] ?? stored);
const home = mkdtempSync(join(tmpdir(), 'gapbook-demo-editions-'));
const [content, sessions] = [join(home, 'content'), join(home, 'sessions')];

cpSync(join(root, 'content'), content, { recursive: true, filter: (path) => path !== stored });
// What was written about the campaign later was not known then.
const campaign = join(content, 'campaign.md');
const about = readFileSync(campaign, 'utf8').replace(/As it stands the robot[\s\S]*?in between\.\n\n/, '');
mkdirSync(sessions);
for (const id of readdirSync(join(root, 'sample-sessions'))) {
  mkdirSync(join(sessions, id));
  for (const name of readdirSync(join(root, 'sample-sessions', id)))
    if (name === 'session.md') cpSync(join(root, 'sample-sessions', id, name), join(sessions, id, name));
    else symlinkSync(join(root, 'sample-sessions', id, name), join(sessions, id, name));
}

function publish(milestone: string, day: string): void {
  // Nor were the records of gates that came later.
  const record = /^ +- \{.* evidence: (\d{4}-\d\d-\d\d).*\}\n/gm;
  writeFileSync(
    campaign,
    about.replace(record, (line, date: string) => (date <= day ? line : '')),
  );
  const options = ['--content', content, '--sessions', sessions, '--editions', editions];
  const { status } = spawnSync(
    process.execPath,
    [
      join(root, 'src/cli/gapbook.mjs'),
      ...['publish', milestone, ...options],
      ...['--without-logs', '--evidence-only', '--lap-pages', 'best'],
    ],
    { stdio: 'inherit', env: { ...process.env, NODE_ENV: 'production' } },
  );
  if (status !== 0) process.exit(status ?? 1);
}

// The operator's intervention was entered only after the milestone had been published: until then its lap counted.
const session = join(sessions, '2026-02-24-middle/session.md');
const now = readFileSync(session, 'utf8');
const then = now
  .replace(/ {4}incidents:\n {6}- .*\n/, '')
  .replace(/The second lap is spoilt:[\s\S]*?no fault of the software\.\n/, '')
  .replace(/:claim\[([^\]]*(?:\{[^}]*\})?[^\]]*)\]\{[^}]*\}/g, 'More than a second is lost in that one phase');
writeFileSync(session, then);
publish('twelve-seconds', '2026-02-27');
writeFileSync(session, now);
publish('twelve-seconds', '2026-02-27');
publish('five-seconds', '2026-03-31');
rmSync(home, { recursive: true });
