import { mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { sealBag } from '../../src/archive/sealBag.ts';
import { verifyBytes } from '../../src/archive/verifyBytes.ts';
import { machine } from '../../src/effects.ts';
import { filesBelow } from '../site/siteFolder.ts';
import { fill } from './filled.ts';

const effects = machine();
const runs = process.env['GAPBOOK_FULL'] === '1' ? 400 : 40;

test('any byte of any file of an edition, any file more, less or renamed: it is named', {
  timeout: 300_000,
}, async () => {
  const bag = join(mkdtempSync(join(tmpdir(), 'gapbook-verify-')), 'bag');
  await sealBag(bag, await fill(bag, effects), effects);
  expect((await verifyBytes(bag, effects)).findings).toEqual([]);
  const all = filesBelow(bag).filter((path) => readFileSync(join(bag, path)).length > 0);
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom(...all),
      fc.constantFrom('changed', 'added', 'missing', 'renamed'),
      fc.nat(),
      fc.nat(7),
      async (path, what, where, bit) => {
        const at = join(bag, path);
        const other = `${path}.other`;
        const bytes = readFileSync(at);
        if (what === 'changed') {
          const changed = Buffer.from(bytes);
          changed[where % changed.length]! ^= 1 << bit;
          writeFileSync(at, changed);
        } else if (what === 'added') writeFileSync(join(bag, other), 'one file more');
        else if (what === 'missing') rmSync(at);
        else renameSync(at, join(bag, other));
        const { findings, edition } = await verifyBytes(bag, effects);
        const said = findings.map((f) => `${f.path} ${f.text}`).join('\n');
        // Without its label a bag is no edition any more; what became of the file that had it is said all the same.
        if (edition !== null || what !== 'added') expect(said).toContain(what === 'added' ? other : path);
        rmSync(join(bag, other), { force: true });
        writeFileSync(at, bytes);
      },
    ),
    { numRuns: runs },
  );
  expect((await verifyBytes(bag, effects)).findings).toEqual([]);
});
