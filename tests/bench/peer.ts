import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { median } from '../../src/numbers/quantile.ts';
import type { BenchCampaign } from './makeCampaign.ts';
import { python, ROOT } from './measured.ts';
import { upTo } from './stages.ts';

const script = join(ROOT, '..', 'shared', 'bench', 'peer.py');

/** So often both are run, by turns: a shared machine is slower one moment than the next. */
const PAIRS = 5;

export interface Peer {
  readonly wallS: number;
  /** In the median of pairs: how many times as long the script takes as we do, by the clock and by processor time. */
  readonly ratio: number;
  readonly cpuRatio: number;
}

/** The same job by a script of pandas and scipy on one core, by turns with ours; or why it was left out. */
export function peer(campaign: BenchCampaign): Peer | { readonly skipped: string } {
  if (!existsSync(script)) return { skipped: 'skipped, the script is not there' };
  const command = ['/usr/bin/python3', 'python3'].find(
    (name) => spawnSync(name, ['-c', 'import pandas, scipy']).status === 0,
  );
  if (!command) return { skipped: 'skipped, no python3 with pandas and scipy (Debian: python3-pandas, python3-scipy)' };
  const pairs: Peer[] = [];
  for (let i = 0; i < PAIRS; i++) {
    const ours = upTo('ledger', campaign);
    const other = python(command, [script, campaign.folder, join(campaign.folder, 'peer.json')]);
    if (!other) return { skipped: 'skipped, the script fails here' };
    pairs.push({ wallS: other.wallS, ratio: other.wallS / ours.wallS, cpuRatio: other.cpuS / ours.cpuS });
  }
  const middle = (of: (pair: Peer) => number): number => median(Float64Array.from(pairs, of));
  return { wallS: middle((p) => p.wallS), ratio: middle((p) => p.ratio), cpuRatio: middle((p) => p.cpuRatio) };
}
