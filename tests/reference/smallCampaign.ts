import { type LaidRun, layRun } from '../../src/campaign/alignedRun.ts';
import { analyseCampaign } from '../../src/campaign/analyseCampaign.ts';
import { loadCampaign } from '../../src/campaign/load.ts';
import type { CampaignResult, LapCurves, SessionResult } from '../../src/campaign/results.ts';
import { type CircuitPoints, circuitFromPoints } from '../../src/circuit/circuitFromPoints.ts';
import { circuitText } from '../../src/circuit/writeCircuit.ts';
import { memory } from '../campaign/memory.ts';

export interface SmallSession {
  readonly id: string;
  /** Front matter below date, circuit and rider. */
  readonly keys: string;
  readonly logs: Record<string, string>;
}

/** A gate through a point, across a direction. */
export interface StandingGate {
  readonly point: readonly [number, number];
  readonly direction: readonly [number, number];
  readonly halfWidthM: number;
}

function posts({ point: [x, y], direction: [dx, dy], halfWidthM: w }: StandingGate) {
  return { leftEastM: x - w * dy, leftNorthM: y + w * dx, rightEastM: x + w * dy, rightNorthM: y - w * dx };
}

/** A campaign of a few logs on one circuit, in memory: the reference session first. */
export class SmallCampaign {
  readonly effects;

  /** @param gate stands as given, square to the line or not; where it would be made square to it by default */
  constructor(points: CircuitPoints, sessions: readonly SmallSession[], gate: StandingGate | null = null) {
    const reference = `reference: ${sessions[0]!.id}`;
    const drawing = circuitFromPoints(points);
    const files: Record<string, string> = {
      'c/campaign.md': `---\ntitle: Small\nriders:\n  one: { name: One, kind: human }\n  two: { name: Two, kind: robot }\n${reference}\n---\n`,
      'c/circuits/small.geojson': circuitText(gate ? { ...drawing, gate: posts(gate) } : drawing),
    };
    sessions.forEach(({ id, keys, logs }, i) => {
      const runs = Object.keys(logs).map((file) => `  - file: ${file}`);
      files[`s/${id}/session.md`] =
        `---\ndate: ${id.slice(0, 10)}\ncircuit: small\nrider: ${i === 0 ? 'one' : 'two'}\n${keys}\nruns:\n${runs.join('\n')}\n---\n`;
      for (const [file, text] of Object.entries(logs)) files[`s/${id}/${file}`] = text;
    });
    this.effects = memory(files);
  }

  load() {
    return loadCampaign({ content: 'c', sessions: 's' }, this.effects);
  }

  /** Runs of one session, laid on the circuit. */
  async laid(id: string): Promise<LaidRun[]> {
    const loaded = await this.load();
    const home = loaded.sessions.find((s) => s.id === id)!;
    const circuit = loaded.circuits.get('small')!;
    return Promise.all(home.session!.runs.map((setup) => layRun(home.folder, id, setup, circuit, this.effects)));
  }

  async analysed(
    causes = false,
  ): Promise<{ campaign: CampaignResult; sessions: SessionResult[]; curves: Map<string, LapCurves> }> {
    const sessions: SessionResult[] = [];
    const curves = new Map<string, LapCurves>();
    const campaign = await analyseCampaign(
      await this.load(),
      { toolVersion: '0', asOf: null, keepMaps: true, causes },
      {
        session: async (result, own) => {
          sessions.push(result);
          for (const [path, curve] of own) curves.set(path, curve);
        },
        campaign: async () => {},
      },
      this.effects,
    );
    return { campaign, sessions, curves };
  }
}
