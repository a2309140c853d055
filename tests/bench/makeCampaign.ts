import { spawnSync } from 'node:child_process';
import {
  copyFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { ROOT } from './measured.ts';

export interface BenchCampaign {
  readonly folder: string;
  readonly content: string;
  readonly sessions: string;
  readonly bytes: number;
  readonly maker: string;
}

const LAPS = 6;
const RATE_HZ = 100;
const maker = join(ROOT, '..', 'shared', 'bench', 'make-campaign.mjs');

/** Makes a campaign of a number of runs, the reference's among them: simulated, or copies of the demo's sessions. */
export function makeCampaign(folder: string, runs: number): BenchCampaign {
  const [content, sessions] = [join(folder, 'content'), join(folder, 'sessions')];
  if (existsSync(maker)) {
    const args = [maker, folder, String(runs - 1), String(LAPS), String(RATE_HZ)];
    const { status, stderr } = spawnSync(process.execPath, args, { encoding: 'utf8' });
    if (status !== 0) throw new Error(stderr);
  } else copyDemo(content, sessions, runs);
  return {
    folder,
    content,
    sessions,
    bytes: logBytes(sessions),
    maker: existsSync(maker) ? 'simulated' : 'the demo, over and over',
  };
}

function copyDemo(content: string, sessions: string, runs: number): void {
  cpSync(join(ROOT, 'content'), content, { recursive: true });
  const [reference = '', ...robots] = readdirSync(join(ROOT, 'sample-sessions')).sort();
  cpSync(join(ROOT, 'sample-sessions', reference), join(sessions, reference), { recursive: true });
  for (let i = 0; i < runs - 1; i++) {
    const from = join(ROOT, 'sample-sessions', robots[i % robots.length] ?? reference);
    const date = new Date(Date.UTC(2026, 1, 1 + i)).toISOString().slice(0, 10);
    const to = join(sessions, `${date}-robot`);
    mkdirSync(to, { recursive: true });
    for (const name of readdirSync(from)) copyFileSync(join(from, name), join(to, name));
    const file = join(to, 'session.md');
    writeFileSync(file, readFileSync(file, 'utf8').replace(/^date: .*$/m, `date: ${date}`));
  }
}

function logBytes(sessions: string): number {
  const files = readdirSync(sessions, { recursive: true, encoding: 'utf8' }).filter((path) => path.endsWith('.csv'));
  return files.reduce((sum, path) => sum + statSync(join(sessions, path)).size, 0);
}
