import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { analyseCampaign } from '../../src/campaign/analyseCampaign.ts';
import { loadCampaign } from '../../src/campaign/load.ts';
import type { SessionResult } from '../../src/campaign/results.ts';
import { machine } from '../../src/effects.ts';

// Source: an independent maker of campaigns (30 channels, 2 to 2.5 cm of position noise) with exact crossings beside them.
const maker = fileURLToPath(new URL('../../../shared/bench/make-campaign.mjs', import.meta.url));

test.skipIf(!existsSync(maker)).each([
  ['100', '1'],
  ['50', '7'],
])('lap times of a made campaign at %s Hz, seed %s, are within 2 ms, and its ledgers sum', async (hz, seed) => {
  const root = mkdtempSync(join(tmpdir(), 'gapbook-maker-'));
  try {
    execFileSync(process.execPath, [maker, root, '2', '3', hz, seed]);
    const truth = JSON.parse(readFileSync(join(root, 'truth.json'), 'utf8')) as {
      runs: Record<string, { lapTimes: number[] }>;
    };
    const effects = machine();
    const loaded = await loadCampaign({ content: join(root, 'content'), sessions: join(root, 'sessions') }, effects);
    const sessions: SessionResult[] = [];
    await analyseCampaign(
      loaded,
      { toolVersion: '0', asOf: null, keepMaps: false },
      { session: async (result) => void sessions.push(result), campaign: async () => {} },
      effects,
    );
    expect(sessions).toHaveLength(3);
    for (const session of sessions) {
      const laps = session.runs[0]!.laps.filter(({ timeS }) => timeS !== null);
      expect(laps.map(({ counted }) => counted)).toEqual([true, true, true]);
      laps.forEach((lap, i) => {
        expect(
          Math.abs(lap.timeS! - truth.runs[session.session]!.lapTimes[i]!),
          `${session.session} lap ${lap.lap}`,
        ).toBeLessThan(0.002);
        expect(Math.abs(lap.ledger.reduce((sum, c) => sum + c.gapS, 0) - lap.gapS!)).toBeLessThan(1e-6);
      });
    }
  } finally {
    rmSync(root, { recursive: true, force: true });
  }
});
