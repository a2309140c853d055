import { analyseCampaign } from '../../../src/campaign/analyseCampaign.ts';
import { loadCampaign } from '../../../src/campaign/load.ts';
import type { SessionResult } from '../../../src/campaign/results.ts';
import { circuitFromPoints } from '../../../src/circuit/circuitFromPoints.ts';
import { circuitText } from '../../../src/circuit/writeCircuit.ts';
import type { Results } from '../../../src/report/readResults.ts';
import { resultsOf } from '../../../src/report/resultsOf.ts';
import { memory } from '../../campaign/memory.ts';

const STRAIGHT_M = 300;
const RADIUS_M = 50;
const HALF_M = STRAIGHT_M + Math.PI * RADIUS_M;
const LENGTH_M = 2 * HALF_M;

/** A place on an oval of two straights and two half circles, ridden anticlockwise from the middle of a straight. */
function place(stationM: number): [number, number] {
  const s = (((stationM + STRAIGHT_M / 2) % LENGTH_M) + LENGTH_M) % LENGTH_M;
  const turned = s >= HALF_M;
  const d = turned ? s - HALF_M : s;
  const bend = (d - STRAIGHT_M) / RADIUS_M;
  const [x, y] =
    d < STRAIGHT_M
      ? [d - STRAIGHT_M / 2, -RADIUS_M]
      : [STRAIGHT_M / 2 + RADIUS_M * Math.sin(bend), -RADIUS_M * Math.cos(bend)];
  return turned ? [-x, -y] : [x, y];
}

/** Slow in the bends, quick on the straights. */
const speed = (stationM: number, pace: number): number =>
  pace * (32 + 12 * Math.cos((2 * Math.PI * stationM) / HALF_M));

/** A log of two and a half laps at a pace. */
function log(pace: number): string {
  const rows = ['time [s],east [m],north [m],speed [m/s]'];
  const stepS = 0.1;
  for (let s = -0.3 * LENGTH_M, t = 0; s < 2.2 * LENGTH_M; t += stepS) {
    const [x, y] = place(s);
    rows.push([t.toFixed(2), x.toFixed(3), y.toFixed(3), speed(s, pace).toFixed(3)].join(','));
    for (let i = 0; i < 10; i++) s += (speed(s, pace) * stepS) / 10;
  }
  return `${rows.join('\n')}\n`;
}

const session = (date: string, rider: string, runs: readonly string[]): string =>
  `---\ndate: ${date}\nstage: track\ncircuit: oval\nrider: ${rider}\ncontroller: "0.1.0"\naxes: level\nposition: { antenna: [0, 0, 1], sigma: "0.02 m" }\nruns:\n${runs.map((run) => `  - file: ${run}`).join('\n')}\n---\nWhat happened that day.\n`;

/** Files of a campaign on an oval: a reference, and two days of the robot, of which one has two runs. */
export function ovalFiles(): Record<string, string> {
  const n = 400;
  const points = Array.from({ length: n }, (_, i) => place((i * LENGTH_M) / n));
  const line = [0, 1].map((k) => Float64Array.from(points, (p) => p[k]!));
  return {
    'c/campaign.md':
      '---\ntitle: Oval\nriders:\n  one: { name: One, kind: human }\n  two: { name: Two, kind: robot }\nreference: 2026-01-05-reference\n---\nWhat it is about.\n',
    'c/circuits/oval.geojson': circuitText(circuitFromPoints({ name: 'Oval', plane: null, line, widths: null })),
    's/2026-01-05-reference/session.md': session('2026-01-05', 'one', ['run-01.csv']),
    's/2026-01-05-reference/run-01.csv': log(1),
    's/2026-01-13-first/session.md': session('2026-01-13', 'two', ['run-01.csv', 'run-02.csv']),
    's/2026-01-13-first/run-01.csv': log(0.9),
    's/2026-01-13-first/run-02.csv': log(0.88),
    's/2026-01-20-second/session.md': session('2026-01-20', 'two', ['run-01.csv']),
    's/2026-01-20-second/run-01.csv': log(0.95),
  };
}

/** Analyses files in memory; a phase map that is proposed is written among them. */
export async function analysed(
  files: Record<string, string>,
): Promise<Results & { readonly files: Map<string, string> }> {
  const effects = memory(files);
  const sessions: SessionResult[] = [];
  const campaign = await analyseCampaign(
    await loadCampaign({ content: 'c', sessions: 's' }, effects),
    { toolVersion: '0', asOf: null, keepMaps: true },
    { session: async (result) => void sessions.push(result), campaign: async () => {} },
    effects,
  );
  return { ...resultsOf(campaign, sessions), files: effects.files };
}
