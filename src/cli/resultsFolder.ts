import { mkdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { analyseCampaign, resultPath } from '../campaign/analyseCampaign.ts';
import { type Folders, loadCampaign } from '../campaign/load.ts';
import type { CampaignResult, SessionResult } from '../campaign/results.ts';
import type { Effects } from '../effects.ts';
import { toolVersion } from './toolVersion.ts';

/** Analyses a campaign into a folder of JSON files, from which pages are rendered. The folder is made anew. */
export async function writeResults(
  folders: Folders,
  folder: string,
  asOf: string | null,
  effects: Effects,
): Promise<{ campaign: CampaignResult; sessions: SessionResult[] }> {
  await rm(folder, { recursive: true, force: true });
  await mkdir(folder, { recursive: true });
  const loaded = await loadCampaign(folders, effects);
  const sessions: SessionResult[] = [];
  const json = (value: unknown): string => `${JSON.stringify(value)}\n`;
  const campaign = await analyseCampaign(
    loaded,
    { toolVersion: toolVersion(), asOf, keepMaps: true },
    {
      async session(result, curves) {
        sessions.push(result);
        await effects.write(join(folder, resultPath(result.session)), json(result));
        for (const [path, curve] of curves) await effects.write(join(folder, path), json(curve));
      },
      campaign: (result) => effects.write(join(folder, 'campaign.json'), json(result)),
    },
    effects,
  );
  return { campaign, sessions };
}
