import { mkdirSync, mkdtempSync, readFileSync, renameSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readBag } from '../../src/archive/readBag.ts';
import { sealBag } from '../../src/archive/sealBag.ts';
import { machine } from '../../src/effects.ts';
import { filesBelow } from '../site/siteFolder.ts';
import { brokenRules } from './rules.ts';

const effects = machine();
const runs = process.env['GAPBOOK_FULL'] === '1' ? 300 : 15;

const part = fc
  .string({ minLength: 1, maxLength: 8, unit: fc.constantFrom(...'abcXYZ019 .-_~%\n\rüß漢’') })
  .filter((name) => !/^[.~ ]/.test(name) && name.normalize() === name);
const tree = fc.dictionary(
  fc.array(part, { minLength: 1, maxLength: 3 }).map((parts) => parts.join('/')),
  fc.uint8Array({ maxLength: 50 }),
  { minKeys: 1, maxKeys: 6 },
);

/** A bag with these files in its payload, where names allow it; one that is a file cannot also be a folder. */
async function bagOf(files: Readonly<Record<string, Uint8Array>>): Promise<string> {
  const bag = mkdtempSync(join(tmpdir(), 'gapbook-bag-'));
  for (const [name, bytes] of Object.entries(files)) {
    const path = join(bag, 'data', name);
    try {
      mkdirSync(dirname(path), { recursive: true });
      writeFileSync(path, bytes);
    } catch {
      // As said.
    }
  }
  await sealBag(bag, [['Source-Organization', 'The test\nof bags']], effects);
  return bag;
}

test('a bag that was written is valid, by the rules of the RFC and by our own reader', async () => {
  await fc.assert(
    fc.asyncProperty(tree, async (files) => {
      const bag = await bagOf(files);
      expect(brokenRules(bag)).toEqual([]);
      expect((await readBag(bag, effects, true)).findings).toEqual([]);
      rmSync(bag, { recursive: true });
    }),
    { numRuns: runs },
  );
});

test('whatever file of a bag is changed, added, removed or renamed, it is the one that is named', async () => {
  await fc.assert(
    fc.asyncProperty(
      tree,
      fc.nat(),
      fc.constantFrom('changed', 'added', 'missing', 'renamed'),
      fc.nat(),
      async (files, which, what, where) => {
        const bag = await bagOf(files);
        const all = filesBelow(bag).filter((path) => !path.startsWith('tagmanifest'));
        const path = all[which % all.length]!;
        const at = join(bag, path);
        const other = `${path}-other`;
        if (what === 'changed') {
          const bytes = readFileSync(at);
          // One bit, or a byte more where there is none.
          if (bytes.length === 0) writeFileSync(at, 'x');
          else {
            bytes[where % bytes.length]! ^= 1 << (where % 8);
            writeFileSync(at, bytes);
          }
        } else if (what === 'added') writeFileSync(join(bag, other), `${where}, new`);
        else if (what === 'missing') rmSync(at);
        else renameSync(at, join(bag, other));
        const { findings } = await readBag(bag, effects, true);
        const named = findings.filter(({ severity }) => severity === 'error').map((f) => `${f.path} ${f.text}`);
        expect(named.join('\n')).toContain(what === 'added' ? other : path);
        if (what === 'renamed' && path.startsWith('data/')) expect(named.join('\n')).toContain(other);
        rmSync(bag, { recursive: true });
      },
    ),
    { numRuns: runs * 2 },
  );
});

describe('what leads out of a bag', () => {
  const line = (path: string): string => `${'0'.repeat(64)}  ${path}\n`;
  for (const path of ['../x', 'data/../../x', '/etc/passwd', '~/x', 'data/./x', 'C:\\x', 'data\\..\\..\\x', 'data//x'])
    test(`the path ${path} is refused and not opened`, async () => {
      const bag = await bagOf({ a: new Uint8Array([1]) });
      const manifest = join(bag, 'manifest-sha256.txt');
      writeFileSync(manifest, readFileSync(manifest, 'utf8') + line(path));
      const opened: string[] = [];
      const watched = {
        ...effects,
        chunks(at: string) {
          opened.push(at);
          return effects.chunks(at);
        },
      };
      const { findings } = await readBag(bag, watched);
      expect(findings.some((f) => f.path === 'manifest-sha256.txt' && /a path that/.test(f.text))).toBe(true);
      expect(opened.filter((at) => !at.startsWith(bag))).toEqual([]);
    });

  test('a link is named and not followed', async () => {
    const bag = await bagOf({ a: new Uint8Array([1]) });
    symlinkSync('/', join(bag, 'data', 'all'));
    expect((await readBag(bag, effects)).findings).toEqual([
      { severity: 'error', what: 'structure', path: 'data/all', text: 'is a link; a bag holds files' },
    ]);
  });
});

// Source: RFC 8493, 2.2.3: a file in fetch.txt has to be in every manifest, and a bag without it is not complete.
test('what fetch.txt would bring is said to be missing, and is not fetched', async () => {
  const bag = await bagOf({ a: new Uint8Array([1]), b: new Uint8Array([2]) });
  rmSync(join(bag, 'data/b'));
  writeFileSync(join(bag, 'fetch.txt'), 'https://example.org/b 1 data/b\nhttps://example.org/c - data/c\nnonsense\n');
  const said = (await readBag(bag, effects)).findings.map(({ path, text }) => `${path}: ${text}`);
  expect(said).toContain('data/b: is not there; fetch.txt says from where it would come, and nothing is fetched here');
  expect(said).toContain('fetch.txt: names `data/c`, which is not in manifest-sha256.txt');
  expect(said).toContain('fetch.txt: line 3 is not an address, a length and a path');
});
