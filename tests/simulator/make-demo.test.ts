import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gunzipSync } from 'node:zlib';
import { expect, test } from 'vitest';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
/** What the simulator writes, less what the tool adds beside it. */
const WRITTEN = ['content/campaign.md', 'content/circuits/saltmarsh.geojson', 'tests/simulator/truth.json'];

// a minute: in the full tests only
test.skipIf(!process.env['GAPBOOK_FULL'])('the demo is what the simulator writes', { timeout: 400_000 }, () => {
  const out = mkdtempSync(join(tmpdir(), 'demo-'));
  try {
    execFileSync(process.execPath, [join(ROOT, 'tests/simulator/make-demo.ts'), out]);
    const logs = (folder: string) =>
      readdirSync(join(folder, 'sample-sessions'), { recursive: true }).map(String).sort();
    expect(logs(out)).toEqual(logs(ROOT));
    const files = [
      ...WRITTEN,
      ...logs(out)
        .filter((name) => /\.(csv|gz|md)$/.test(name))
        .map((name) => `sample-sessions/${name}`),
    ];
    // packed bytes may differ from one Node to the next
    const bytes = (path: string) => (path.endsWith('.gz') ? gunzipSync(readFileSync(path)) : readFileSync(path));
    for (const file of files) expect(bytes(join(out, file)).equals(bytes(join(ROOT, file))), file).toBe(true);
  } finally {
    rmSync(out, { recursive: true });
  }
});
