import { createReadStream } from 'node:fs';
import { stat, watch } from 'node:fs/promises';
import { createServer, type ServerResponse } from 'node:http';
import { extname, join, resolve, sep } from 'node:path';
import type { Effects } from '../effects.ts';
import { BUILD_OPTIONS, buildPlan } from './build.ts';
import { type Command, UsageError } from './command.ts';
import { LiveSite } from './liveSite.ts';
import { counted, say } from './said.ts';

const TYPES: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.json': 'application/json',
  '.csv': 'text/csv; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.xml': 'application/atom+xml',
  '.txt': 'text/plain; charset=utf-8',
  '.woff2': 'font/woff2',
};

/** Changes that come closer together than this are read once, ms. */
const GATHER_MS = 50;
/** How long nothing has to change before the files of the site are brought up to date, ms. */
const QUIET_MS = 2000;

/** `gapbook serve`: builds, serves on this machine alone, and follows the inputs. */
export const serve: Command = {
  name: 'serve',
  usage: `gapbook serve [--port 4180]

Builds the site and serves it on 127.0.0.1. When a file of the content or sessions folder changes, pages that are open
load again by themselves and show what is wrong with the notes; the folder of the site follows a little later.
Stop it with Ctrl-C.`,
  options: { ...BUILD_OPTIONS, port: { kind: 'text', help: 'port; 0 takes a free one', default: '4180' } },
  async run(args, effects) {
    const port = Number(args.text('port'));
    if (!Number.isInteger(port) || port < 0 || port > 65535)
      throw new UsageError(`--port takes a number from 0 to 65535, not \`${args.text('port')}\``);
    const plan = await buildPlan(args, effects);
    const { folders, out } = plan;
    const site = new LiveSite(plan, effects);
    const tell = (): void => {
      say(site.problems, effects, 'warn');
      effects.out(counted(site.problems));
    };
    await site.build();
    tell();
    const following = new Set<ServerResponse>();
    const address = await listen(out, port, { site, following });
    effects.out(`serving ${args.text('out')} at ${address}`);
    let soon: NodeJS.Timeout | undefined;
    let later: NodeJS.Timeout | undefined;
    let changes = 0;
    let work: Promise<unknown> = Promise.resolve();
    const changed = (): void => {
      changes++;
      clearTimeout(soon);
      clearTimeout(later);
      soon = setTimeout(() => next(follows), GATHER_MS);
    };
    const next = (task: () => Promise<void>): void => {
      work = work.then(task).catch((error: unknown) => effects.err(String(error)));
    };
    const follows = async (): Promise<void> => {
      const before = site.version;
      await site.refresh();
      if (site.version === before) return;
      for (const response of following) response.write(event(site));
      tell();
      const at = changes;
      later = setTimeout(() => next(() => site.settle(() => changes !== at)), QUIET_MS);
    };
    await Promise.all([folders.content, folders.sessions].map((folder) => follow(folder, changed, effects)));
    return 0;
  },
};

const event = ({ version }: LiveSite): string => `data: ${JSON.stringify(version)}\n\n`;

async function follow(folder: string, changed: () => void, effects: Effects): Promise<void> {
  try {
    for await (const { filename } of watch(folder, { recursive: true })) {
      // The phase map that a build writes itself is no reason to build again.
      // Nor is a file that is still being written under another name.
      if (filename !== null && !filename.endsWith('.phases.yaml') && !/(^|\/)\./.test(filename)) changed();
    }
  } catch (error) {
    effects.err(`changes in ${folder} are not noticed: ${error instanceof Error ? error.message : String(error)}`);
  }
}

/** A site that is rendered as it is asked for, and who waits for a change of it. */
interface Live {
  readonly site: LiveSite;
  readonly following: Set<ServerResponse>;
}

/** Serves a folder on the loopback address; returns where. */
export async function listen(folder: string, port: number, live: Live | null = null): Promise<string> {
  const home = resolve(folder);
  const server = createServer(async (request, response) => {
    const answer = (type: string, headers: Record<string, string> = {}): ServerResponse =>
      response.writeHead(200, { 'content-type': type, 'cache-control': 'no-store', ...headers });
    try {
      const path = decodeURIComponent(new URL(request.url ?? '/', 'http://localhost').pathname);
      if (live && path === '/-/changes') {
        answer('text/event-stream').write(event(live.site));
        live.following.add(response);
        response.on('close', () => live.following.delete(response));
        return;
      }
      let file = resolve(join(home, path));
      if (file !== home && !file.startsWith(home + sep)) throw new Error('outside');
      const page = await live?.site.page(path.endsWith('/') ? `${path.slice(1)}index.html` : path.slice(1));
      if (page) {
        answer(TYPES['.html']!).end(page);
        return;
      }
      if ((await stat(file)).isDirectory()) file = join(file, 'index.html');
      await stat(file);
      answer(TYPES[extname(file)] ?? 'application/octet-stream');
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
