import { packed } from '../../src/cli/packed.mjs';
import type { BenchCampaign } from './makeCampaign.ts';
import { type Measured, node } from './measured.ts';

/** Packed by the bench, as the commands are by `ready.mjs`. */
export const PROGRAM = 'tests/bench/analyse.ts';

/** As `analyse.ts` knows them. */
type Stage = 'nothing' | 'read' | 'laps' | 'ledger' | 'findings';

/** A stage is the difference of two ways; each is gone so often, and the quickest counts. */
const TIMES = 3;

export interface Stages {
  /** Processor time of each stage over all runs: steadier than the clock where a machine is shared. */
  readonly stagesS: Readonly<Record<string, number>>;
  readonly wallS: number;
  readonly cpuS: number;
  readonly peakMb: number;
}

/**
 * From logs to ledgers without a cache, in a process held to one core. The stages are told apart by going a part of the
 * way: reading alone, reading and laying out, to the ledgers, and on to the findings over the campaign. From the ledgers on the
 * reference is laid a second time.
 */
export function stages(campaign: BenchCampaign): Stages {
  const quickest = (stage: Stage): Measured =>
    Array.from({ length: TIMES }, () => upTo(stage, campaign)).reduce((a, b) => (b.cpuS < a.cpuS ? b : a));
  const start = quickest('nothing');
  const read = quickest('read');
  const laid = quickest('laps');
  const all = quickest('ledger');
  const found = quickest('findings');
  const { wallS, cpuS } = all;
  return {
    stagesS: {
      start: start.cpuS,
      read: read.cpuS - start.cpuS,
      'laps and alignment': laid.cpuS - read.cpuS,
      ledger: cpuS - laid.cpuS,
      findings: found.cpuS - cpuS,
    },
    wallS,
    cpuS,
    peakMb: Math.max(all.peakMb, found.peakMb),
  };
}

/** The way from the logs up to a stage, in a process of its own. */
export function upTo(stage: Stage, { content, sessions }: BenchCampaign): Measured {
  return node([packed(PROGRAM) ?? PROGRAM, content, sessions, stage], { oneCore: true });
}
