import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { BenchCampaign } from './makeCampaign.ts';
import { python, ROOT } from './measured.ts';

const script = join(ROOT, '..', 'shared', 'bench', 'peer.py');

/** The same job by a script of pandas and scipy on one core, in the same minute; or why it was left out. */
export function peer(
  { folder }: BenchCampaign,
  ours: { readonly wallS: number; readonly cpuS: number },
):
  | { readonly wallS: number; readonly cpuS: number; readonly ratio: number; readonly cpuRatio: number }
  | { readonly skipped: string } {
  if (!existsSync(script)) return { skipped: 'skipped, the script is not there' };
  const command = ['/usr/bin/python3', 'python3'].find(
    (name) => spawnSync(name, ['-c', 'import pandas, scipy']).status === 0,
  );
  if (!command) return { skipped: 'skipped, no python3 with pandas and scipy (Debian: python3-pandas, python3-scipy)' };
  const run = python(command, [script, folder, join(folder, 'peer.json')]);
  return run
    ? { wallS: run.wallS, cpuS: run.cpuS, ratio: run.wallS / ours.wallS, cpuRatio: run.cpuS / ours.cpuS }
    : { skipped: 'skipped, the script fails here' };
}
