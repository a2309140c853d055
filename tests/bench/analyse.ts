/** A part of the way from logs to ledgers, to be timed: `analyse.ts CONTENT SESSIONS nothing|read|laps|ledger|findings`. */
import { join } from 'node:path';
import { layRun } from '../../src/campaign/alignedRun.ts';
import { analyseCampaign } from '../../src/campaign/analyseCampaign.ts';
import { loadCampaign } from '../../src/campaign/load.ts';
import { fitEngine } from '../../src/cli/engine.ts';
import { machine } from '../../src/effects.ts';
import { readLog } from '../../src/read/log.ts';

fitEngine();
const [content = '', sessions = '', stage = ''] = process.argv.slice(2);
const effects = machine();
const loaded = await loadCampaign({ content, sessions }, effects);

// The ledgers are all there once the last session is; what follows are findings over the campaign.
let left = loaded.sessions.length;
const session = async (): Promise<void> => {
  if (--left === 0 && stage === 'ledger') process.exit();
};
if (stage === 'ledger' || stage === 'findings')
  await analyseCampaign(
    loaded,
    { toolVersion: '0', asOf: null, keepMaps: false },
    { session, campaign: async () => {} },
    effects,
  );
else if (stage !== 'nothing')
  for (const { id, folder, session } of loaded.sessions)
    for (const setup of session?.runs ?? []) {
      const [name = ''] = setup.files;
      const circuit = loaded.circuits.get(setup.circuit);
      if (stage === 'laps' && circuit) await layRun(folder, id, setup, circuit, effects);
      if (stage === 'read')
        await readLog(
          { path: join(folder, name), file: name, columns: setup.columns, decimal: setup.decimal },
          effects,
        );
    }
