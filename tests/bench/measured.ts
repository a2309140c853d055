import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { flags, TUNABLES } from '../../src/cli/settings.mjs';

export const ROOT = fileURLToPath(new URL('../..', import.meta.url));

export interface Measured {
  readonly wallS: number;
  /** User and system time. */
  readonly cpuS: number;
  /** Peak resident memory, 10^6 bytes. */
  readonly peakMb: number;
  readonly stdout: string;
}

/** Reports the resources of a process of Node at its end, on its third stream. */
const PROBE = `data:text/javascript,${encodeURIComponent(
  "import{writeSync}from'node:fs';process.on('exit',()=>{const u=process.resourceUsage();writeSync(3,JSON.stringify({cpuS:(u.userCPUTime+u.systemCPUTime)/1e6,peakMb:u.maxRSS*1024/1e6}))})",
)}`;

/** Whether processes can be held to one core here. */
const PIN = existsSync('/usr/bin/taskset') ? ['/usr/bin/taskset', '-c', '0'] : [];

/** Runs a Node program to its end; `oneCore` holds it to one core where the machine can. */
export function node(args: readonly string[], { oneCore = false } = {}): Measured {
  const [command = '', ...rest] = [
    ...(oneCore ? [...PIN, process.execPath, ...flags(1)] : [process.execPath]),
    '--import',
    PROBE,
    ...args,
  ];
  const began = performance.now();
  const { status, stdout, stderr, output } = spawnSync(command, rest, {
    cwd: ROOT,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'pipe', 'pipe'],
    maxBuffer: 1 << 28,
    env: {
      ...process.env,
      ASTRO_TELEMETRY_DISABLED: '1',
      NODE_ENV: 'production',
      GLIBC_TUNABLES: TUNABLES,
      NODE_COMPILE_CACHE: join(ROOT, 'node_modules/.cache/gapbook'),
    },
  });
  const wallS = (performance.now() - began) / 1000;
  if (status !== 0) throw new Error(`${args.join(' ')} ended with ${status}:\n${stderr}`);
  return { wallS, stdout, ...(JSON.parse(output[3] ?? '{}') as { cpuS: number; peakMb: number }) };
}

/** Runs a Python script and says on its last line what processor time it took. */
const TIMED = [
  'import sys, runpy, resource',
  'sys.argv = sys.argv[1:]',
  "runpy.run_path(sys.argv[0], run_name='__main__')",
  'used = resource.getrusage(resource.RUSAGE_SELF)',
  "print('', used.ru_utime + used.ru_stime, sep='\\n')",
].join('\n');

/** Runs a Python script held to one core; null where it fails. */
export function python(command: string, args: readonly string[]): { wallS: number; cpuS: number } | null {
  const [first = '', ...rest] = [...PIN, command, '-c', TIMED, ...args];
  const began = performance.now();
  const { status, stdout } = spawnSync(first, rest, {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'ignore'],
    // Numeric libraries would otherwise start a thread a core.
    env: { ...process.env, OMP_NUM_THREADS: '1', OPENBLAS_NUM_THREADS: '1' },
  });
  const wallS = (performance.now() - began) / 1000;
  return status === 0 ? { wallS, cpuS: Number(stdout.trim().split('\n').at(-1)) } : null;
}
