// Runs before `npm run report` and `npm test`: installs what package-lock.json names, once, so that each of them
// works alone on a fresh clone, and packs the program. Plain JavaScript for any Node from 20 on, because nothing is installed yet.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { pack } from './packed.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const mark = join(root, 'node_modules', '.gapbook-lock');
const hash = createHash('sha256')
  .update(readFileSync(join(root, 'package-lock.json')))
  .digest('hex');

if (!existsSync(mark) || readFileSync(mark, 'utf8') !== hash) {
  console.log('Installing the packages of package-lock.json (about a minute, once) …');
  const npm = process.env.npm_execpath;
  const [command, args] = npm ? [process.execPath, [npm]] : ['npm', []];
  const done = spawnSync(command, [...args, 'ci', '--no-audit', '--no-fund'], {
    cwd: root,
    stdio: ['ignore', 'ignore', 'inherit'],
    shell: !npm && process.platform === 'win32',
  });
  if (done.status !== 0) {
    console.error('`npm ci` did not finish; its message is above. Mend that and run the same command again.');
    process.exit(1);
  }
  writeFileSync(mark, hash);
}

// Commands start faster so; where it cannot be done they run from the sources.
await pack('src/cli/main.ts').catch(() => {});
