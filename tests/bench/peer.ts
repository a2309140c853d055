import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { BenchCampaign } from './makeCampaign.ts';
import { other, ROOT } from './measured.ts';

const script = join(ROOT, '..', 'shared', 'bench', 'peer.py');

/** The same job by a script of pandas and scipy on one core, in the same minute; or why it was left out. */
export function peer(
  { folder }: BenchCampaign,
  oursS: number,
): { readonly wallS: number; readonly ratio: number } | { readonly skipped: string } {
  if (!existsSync(script)) return { skipped: 'skipped, the script is not there' };
  const python = ['/usr/bin/python3', 'python3'].find(
    (name) => spawnSync(name, ['-c', 'import pandas, scipy']).status === 0,
  );
  if (!python) return { skipped: 'skipped, no python3 with pandas and scipy (Debian: python3-pandas, python3-scipy)' };
  const run = other(python, [script, folder, join(folder, 'peer.json')]);
  return run ? { wallS: run.wallS, ratio: run.wallS / oursS } : { skipped: 'skipped, the script fails here' };
}
