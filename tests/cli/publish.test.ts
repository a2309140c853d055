import { spawn, spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gunzipSync, gzipSync } from 'node:zlib';
import { beforeAll, describe, expect, test } from 'vitest';
import { sealBag } from '../../src/archive/sealBag.ts';
import { machine } from '../../src/effects.ts';
import { brokenRules } from '../archive/rules.ts';
import { bytesBelow, differing, SESSIONS, smallDemo } from './smallDemo.ts';

const tool = fileURLToPath(new URL('../../src/cli/gapbook.mjs', import.meta.url));
const full = process.env['GAPBOOK_FULL'] === '1';
const [reference, robot] = SESSIONS;

function gapbook(home: string, env: Record<string, string>, ...args: string[]) {
  const { status, stdout, stderr } = spawnSync(process.execPath, [tool, ...args], {
    cwd: home,
    encoding: 'utf8',
    env: { ...process.env, ...env },
  });
  return { status, said: stdout + stderr };
}

/** A small campaign with a milestone that stands on its one session of the robot. */
function campaign(): string {
  const { home, content } = smallDemo();
  for (const name of ['milestones', 'weeks', 'editions']) rmSync(join(content, name), { recursive: true, force: true });
  const text = readFileSync(join(content, 'campaign.md'), 'utf8');
  writeFileSync(join(content, 'campaign.md'), `${text.slice(0, text.indexOf('\n---', 4))}\n---\nA small campaign.\n`);
  cpSync(new URL('milestone.md', import.meta.url), join(content, 'milestones/first.md'));
  return home;
}
const publish = (home: string, env: Record<string, string> = {}, ...more: string[]) =>
  gapbook(home, env, 'publish', 'first', '--sessions', 'sessions', ...more);

let home = '';
let bag = '';

describe('publish and verify', { timeout: 300_000 }, () => {
  beforeAll(() => {
    home = campaign();
    bag = join(home, 'content/editions/first/1');
    const { status, said } = publish(home, { TZ: 'UTC', LANG: 'C' });
    expect(status, said).toBe(0);
  }, 300_000);

  test('an edition keeps the rules of its kind, and holds what a reader in ten years needs', () => {
    expect(brokenRules(bag)).toEqual([]);
    const held = [...bytesBelow(bag).keys()];
    for (const path of [
      'README.txt',
      'data/site/index.html',
      'data/site/campaign.json.gz',
      `data/site/results/${robot}.json.gz`,
      `data/inputs/sessions/${robot}/session.md`,
      'data/inputs/content/campaign.md',
      'data/inputs/content/circuits/saltmarsh.phases.yaml',
      'data/inputs/content/milestones/first.md',
      'data/ro-crate-metadata.json',
    ])
      expect(held).toContain(path);
    expect(held.some((path) => /^data\/inputs\/sessions\/.*\.csv/.test(path))).toBe(true);
    expect(held.filter((path) => path.startsWith('data/tool/'))).toHaveLength(1);
    expect(JSON.stringify([...bytesBelow(bag).values()])).not.toContain(home);
  });

  test('the source in it unpacks with the programs of the system, and is the source that ran', () => {
    const archive = readdirSync(join(bag, 'data/tool'))[0]!;
    const to = mkdtempSync(join(tmpdir(), 'gapbook-unpacked-'));
    const { status, stderr, error } = spawnSync('tar', ['-xzf', join(bag, 'data/tool', archive), '-C', to], {
      encoding: 'utf8',
    });
    if (error) return;
    expect(status, stderr).toBe(0);
    const folder = join(to, archive.replace('.tgz', ''));
    expect(differing(join(folder, 'src'), fileURLToPath(new URL('../../src', import.meta.url)))).toEqual([]);
    expect(readFileSync(join(folder, 'package-lock.json'), 'utf8')).toContain('"lockfileVersion"');
  });

  // Rules: RO-Crate 1.2, metadata document, root data entity, data entities.
  test('its provenance is an RO-Crate whose files are there and whose names all lead somewhere', () => {
    type Entity = { '@id': string; '@type': string; [key: string]: unknown };
    const crate = JSON.parse(readFileSync(join(bag, 'data/ro-crate-metadata.json'), 'utf8')) as { '@graph': Entity[] };
    const graph = new Map(crate['@graph'].map((entity) => [entity['@id'], entity]));
    expect(graph.size).toBe(crate['@graph'].length);
    expect(graph.get('ro-crate-metadata.json')).toMatchObject({
      '@type': 'CreativeWork',
      about: { '@id': './' },
      conformsTo: { '@id': 'https://w3id.org/ro/crate/1.2' },
    });
    const root = graph.get('./')!;
    for (const key of ['name', 'description', 'datePublished', 'license']) expect(root).toHaveProperty(key);
    const parts = (root['hasPart'] as { '@id': string }[]).map((part) => part['@id']);
    const held = new Set(bytesBelow(join(bag, 'data')).keys());
    for (const { '@id': id, '@type': type } of crate['@graph']) {
      if (type !== 'File') continue;
      expect(held).toContain(decodeURIComponent(id));
      expect(parts).toContain(id);
    }
    const named = JSON.stringify(crate['@graph']).matchAll(/"@id":"([^"]*)"/g);
    for (const [, id = ''] of named) if (!id.startsWith('https:')) expect(graph.has(id), id).toBe(true);
  });

  test('published twice from the same inputs, in another folder, zone and language, it is the same to the byte', () => {
    const other = campaign();
    const { status, said } = publish(other, { TZ: 'Asia/Kathmandu', LANG: 'tr_TR.UTF-8', LC_ALL: 'tr_TR.UTF-8' });
    expect(status, said).toBe(0);
    expect(differing(bag, join(other, 'content/editions/first/1'))).toEqual([]);
  });

  test('verify recomputes every figure of it, elsewhere and without writing into it', () => {
    const away = join(mkdtempSync(join(tmpdir(), 'gapbook-away-')), 'a folder, 100 %');
    cpSync(bag, away, { recursive: true });
    spawnSync('chmod', ['-R', 'a-w', away]);
    const before = bytesBelow(away);
    const { status, said } = gapbook(tmpdir(), {}, 'verify', away, ...(full ? ['--pages'] : []));
    expect(said).toContain('equal to the byte');
    if (full) expect(said).toContain('rendered again: equal to the byte');
    expect(status, said).toBe(0);
    expect(bytesBelow(away)).toEqual(before);
    spawnSync('chmod', ['-R', 'u+w', away]);
  });

  test('a figure that was changed, and every list of hashes with it, is found by its corner and cell', async () => {
    const forged = join(mkdtempSync(join(tmpdir(), 'gapbook-forged-')), 'bag');
    cpSync(bag, forged, { recursive: true });
    const path = join(forged, `data/site/results/${robot}.json.gz`);
    const result = JSON.parse(gunzipSync(readFileSync(path)).toString());
    const cell = result.runs[0].laps.find((lap: { ledger: unknown[] }) => lap.ledger.length > 0).ledger[3];
    cell.gapS -= 0.05;
    writeFileSync(path, gzipSync(`${JSON.stringify(result)}\n`));
    const info = readFileSync(join(forged, 'bag-info.txt'), 'utf8').split('\n').slice(0, -2);
    for (const name of readdirSync(forged)) if (/manifest|bag-info/.test(name)) rmSync(join(forged, name));
    await sealBag(
      forged,
      info.map((line) => line.split(': ') as [string, string]),
      machine(),
    );
    const { status, said } = gapbook(home, {}, 'verify', forged);
    expect(status).toBe(1);
    expect(said).toContain('each as it was when the bag was made');
    expect(said).toMatch(
      new RegExp(
        `differs  data/site/results/${robot}.json.gz: run run-01.csv, lap \\d, ledger, corner ${cell.corner} ${cell.cell}, gapS: `,
      ),
    );
    expect(said).toContain('1 figure of');
  });

  test.runIf(full)('two at once make two editions, and the first stays as it is', async () => {
    const before = bytesBelow(bag);
    const ended = await Promise.all(
      [0, 1].map(
        () =>
          new Promise<number | null>((resolve) => {
            spawn(process.execPath, [tool, 'publish', 'first', '--sessions', 'sessions', '--without-logs'], {
              cwd: home,
              stdio: 'ignore',
            }).on('exit', resolve);
          }),
      ),
    );
    expect(ended).toEqual([0, 0]);
    const editions = join(home, 'content/editions/first');
    expect(readdirSync(editions).sort()).toEqual(['1', '2', '3']);
    for (const name of ['2', '3']) expect(brokenRules(join(editions, name))).toEqual([]);
    expect(bytesBelow(bag)).toEqual(before);
    // Without its logs an edition is recomputed by whoever has them, and by nobody else.
    const second = join(editions, '2');
    expect([...bytesBelow(second).keys()].filter((path) => /inputs.*\.csv/.test(path))).toEqual([]);
    expect(gapbook(home, {}, 'verify', second)).toMatchObject({ status: 0 });
    expect(gapbook(home, {}, 'verify', second).said).toContain(`${reference}/run-01.csv`);
    expect(gapbook(home, {}, 'verify', second, '--sessions', 'sessions').said).toContain('equal to the byte');
  });

  test.runIf(full)(
    'a channel that is never to be published is nowhere in it, and the figures are those without it',
    () => {
      const other = campaign();
      const path = join(other, 'content/campaign.md');
      writeFileSync(
        path,
        readFileSync(path, 'utf8').replace('\nreference: 2', '\nneverPublish: [throttle, Crank]\nreference: 2'),
      );
      const { status, said } = publish(other, {});
      expect(status, said).toBe(0);
      const made = join(other, 'content/editions/first/1');
      const cells = (file: string, heading: string): string[] => {
        const [head = '', ...rows] = readFileSync(file, 'utf8').trim().split('\n');
        const at = head.split(';').indexOf(heading);
        expect(at).toBeGreaterThan(0);
        return rows.map((row) => row.split(';')[at]!);
      };
      const log = `sessions/${reference}/run-01.csv`;
      for (const heading of ['Twist grip', 'Crank']) {
        expect(cells(join(other, log), heading).some((cell) => cell !== '')).toBe(true);
        expect(cells(join(made, 'data/inputs', log), heading).every((cell) => cell === '')).toBe(true);
      }
      expect(cells(join(made, 'data/inputs', log), 'Ground speed')).toEqual(cells(join(other, log), 'Ground speed'));
      const results = gunzipSync(readFileSync(join(made, `data/site/results/${robot}.json.gz`))).toString();
      expect(results).not.toMatch(/"pickUp":"throttle"/);
      expect(gapbook(home, {}, 'verify', made).said).toContain('equal to the byte');
    },
  );

  test('an untrue claim keeps an edition from being published, and nothing is left behind', () => {
    const other = campaign();
    const path = join(other, 'content/campaign.md');
    writeFileSync(path, `${readFileSync(path, 'utf8')}\n:claim[It is ahead]{gap of=${robot} from=-9 to=-8}\n`);
    const { status, said } = publish(other, {});
    expect(status).toBe(1);
    expect(said).toContain('CLAIM_UNTRUE');
    expect(readdirSync(join(other, 'content/editions/first'))).toEqual([]);
    expect(publish(other, {}, '--lap-pages', 'none').status).toBe(2);
    expect(gapbook(other, {}, 'publish', 'frist', '--sessions', 'sessions').said).toContain('perhaps `first`');
  });
});
