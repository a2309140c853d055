import { createReadStream } from 'node:fs';
import { stat, watch } from 'node:fs/promises';
import { createServer } from 'node:http';
import { extname, join, resolve, sep } from 'node:path';
import type { Effects } from '../effects.ts';
import { BUILD_OPTIONS, buildOnce } from './build.ts';
import { type Command, UsageError } from './command.ts';

const TYPES: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.json': 'application/json',
  '.csv': 'text/csv; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.txt': 'text/plain; charset=utf-8',
  '.woff2': 'font/woff2',
};

/** Changes that come closer together than this are built once, ms. */
const SETTLE_MS = 300;

/** `gapbook serve`: builds, serves on this machine alone, builds again when an input changes. */
export const serve: Command = {
  name: 'serve',
  usage: `gapbook serve [--port 4180]

Builds the site, serves it on 127.0.0.1 and builds it again when a file of the content or sessions folder changes.
Stop it with Ctrl-C.`,
  options: { ...BUILD_OPTIONS, port: { kind: 'text', help: 'port; 0 takes a free one', default: '4180' } },
  async run(args, effects) {
    const port = Number(args.text('port'));
    if (!Number.isInteger(port) || port < 0 || port > 65535)
      throw new UsageError(`--port takes a number from 0 to 65535, not \`${args.text('port')}\``);
    await buildOnce(args, effects);
    const out = resolve(args.text('out') ?? '');
    const address = await listen(out, port);
    effects.out(`serving ${args.text('out')} at ${address}`);
    let timer: NodeJS.Timeout | undefined;
    let building: Promise<unknown> = Promise.resolve();
    const changed = (): void => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        building = building.then(() => buildOnce(args, effects)).catch((error: unknown) => effects.err(String(error)));
      }, SETTLE_MS);
    };
    const folders = [args.text('content') ?? '', args.text('sessions') ?? ''].map((folder) => resolve(folder));
    await Promise.all(folders.map((folder) => follow(folder, changed, effects)));
    return 0;
  },
};

async function follow(folder: string, changed: () => void, effects: Effects): Promise<void> {
  try {
    for await (const { filename } of watch(folder, { recursive: true })) {
      // The phase map that a build writes itself is no reason to build again.
      if (filename !== null && !filename.endsWith('.phases.yaml')) changed();
    }
  } catch (error) {
    effects.err(`changes in ${folder} are not noticed: ${error instanceof Error ? error.message : String(error)}`);
  }
}

/** Serves a folder on the loopback address; returns where. */
export async function listen(folder: string, port: number): Promise<string> {
  const home = resolve(folder);
  const server = createServer(async (request, response) => {
    try {
      const path = decodeURIComponent(new URL(request.url ?? '/', 'http://localhost').pathname);
      let file = resolve(join(home, path));
      if (file !== home && !file.startsWith(home + sep)) throw new Error('outside');
      if ((await stat(file)).isDirectory()) file = join(file, 'index.html');
      await stat(file);
      response.writeHead(200, {
        'content-type': TYPES[extname(file)] ?? 'application/octet-stream',
        'cache-control': 'no-store',
      });
      createReadStream(file).pipe(response);
    } catch {
      response.writeHead(404, { 'content-type': 'text/plain; charset=utf-8' });
      response.end('There is no such page.\n');
    }
  });
  await new Promise<void>((done, failed) => {
    server.once('error', failed);
    server.listen(port, '127.0.0.1', done);
  });
  const address = server.address();
  return `http://127.0.0.1:${typeof address === 'object' && address ? address.port : port}/`;
}
