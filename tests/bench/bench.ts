/**
 * `npm run bench`: how fast and in how much memory campaigns are read, analysed and rendered here and now.
 *
 * --json prints JSON, --runs 12,60 the sizes of the campaigns, --keep leaves their folder.
 *
 * `npm run bench -- statistics` prints instead how often intervals, verdicts and forecasts are right on made data,
 * `npm run bench -- causes` how well causes find what made the difference of 400 pairs of laps, and how fast.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { pack } from '../../src/cli/packed.mjs';
import { builds } from './builds.ts';
import { makeCampaign } from './makeCampaign.ts';
import { peer } from './peer.ts';
import { PROGRAM, stages } from './stages.ts';

if (process.argv[2] === 'causes') {
  await import('./causes.ts');
  process.exit();
}

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    json: { type: 'boolean', default: false },
    keep: { type: 'boolean', default: false },
    runs: { type: 'string', default: '12,60' },
  },
});

if (positionals[0] === 'statistics') {
  await import('./statistics.ts');
  process.exit();
}

const home = mkdtempSync(join(tmpdir(), 'gapbook-bench-'));
const say = (text: string): void => void process.stderr.write(`${text}\n`);
await pack('src/cli/main.ts');
await pack(PROGRAM);
try {
  const results = [];
  for (const runs of values.runs.split(',').map(Number)) {
    const folder = join(home, `runs-${runs}`);
    say(`making a campaign of ${runs} runs`);
    const campaign = makeCampaign(folder, runs);
    say(`${campaign.maker}, ${(campaign.bytes / 1e6).toFixed(0)} MB of logs`);
    const analysis = stages(campaign);
    const other = peer(campaign);
    results.push({
      runs,
      logBytes: campaign.bytes,
      maker: campaign.maker,
      analysis,
      peer: other,
      builds: builds(campaign),
    });
  }
  if (values.json) process.stdout.write(`${JSON.stringify({ node: process.version, results }, null, 2)}\n`);
  else for (const result of results) process.stdout.write(`${text(result)}\n`);
} finally {
  if (values.keep) say(`kept ${home}`);
  else rmSync(home, { recursive: true, force: true });
}

type Result = {
  runs: number;
  logBytes: number;
  analysis: ReturnType<typeof stages>;
  peer: ReturnType<typeof peer>;
  builds: ReturnType<typeof builds>;
};

function text({ runs, logBytes, analysis, peer: other, builds: built }: Result): string {
  const mb = logBytes / 1e6;
  const row = (name: string, seconds: number, rest = ''): string =>
    `  ${name.padEnd(34)} ${seconds.toFixed(2).padStart(8)} s${rest}`;
  const rate = (seconds: number): string => `  ${(mb / seconds).toFixed(1).padStart(7)} MB/s`;
  return [
    `${runs} runs, ${mb.toFixed(0)} MB of logs`,
    ...Object.entries(analysis.stagesS).map(([name, seconds]) =>
      row(name, seconds, name === 'start' || name === 'findings' ? '' : rate(seconds)),
    ),
    row('read to ledger, one core', analysis.wallS, `${rate(analysis.wallS)}  peak ${analysis.peakMb.toFixed(0)} MB`),
    'skipped' in other
      ? `  peer: ${other.skipped}`
      : row(
          'the same by pandas, one core',
          other.wallS,
          `  it takes ${other.ratio.toFixed(2)} times as long as we do, ${other.cpuRatio.toFixed(2)} times the processor time (median of pairs)`,
        ),
    ...Object.entries(built).map(([name, { wallS, cpuS, peakMb }]) =>
      row(`build, ${name}`, wallS, `${rate(wallS)}  cpu ${cpuS.toFixed(1)} s  peak ${peakMb.toFixed(0)} MB`),
    ),
  ].join('\n');
}
