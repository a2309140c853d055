import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { editionsIn } from '../../src/archive/editionsIn.ts';
import { sealBag } from '../../src/archive/sealBag.ts';
import { RESULTS_SCHEMA } from '../../src/campaign/results.ts';
import { machine } from '../../src/effects.ts';
import { evidenceReport } from '../../src/report/evidence/evidence.ts';
import { movedReport } from '../../src/report/evidence/moved.ts';
import { pairsOf } from '../../src/report/evidence/pairs.ts';
import { made } from '../report/made.ts';

const effects = machine();
const stored = (schema: number): string => fileURLToPath(new URL(`schema-${schema}`, import.meta.url));

/**
 * A folder of editions with one of the stored results of a schema version: as the tool of that version wrote them, with
 * what is large and not read left out.
 *
 * @param change to the results of its session
 */
async function editions(schema: number, changes: readonly ((text: string) => string)[]): Promise<string> {
  const home = mkdtempSync(join(tmpdir(), 'gapbook-older-'));
  for (const [i, change] of changes.entries()) {
    const bag = join(home, 'twelve-seconds', String(i + 1));
    mkdirSync(join(bag, 'data/site'), { recursive: true });
    cpSync(join(stored(schema), 'edition.json'), join(bag, 'data/edition.json'));
    cpSync(join(stored(schema), 'campaign.json'), join(bag, 'data/site/campaign.json'));
    cpSync(join(stored(schema), 'results'), join(bag, 'data/site/results'), { recursive: true });
    const edition = join(bag, 'data/edition.json');
    writeFileSync(edition, readFileSync(edition, 'utf8').replace('"number": 1', `"number": ${i + 1}`));
    const session = join(bag, 'data/site/results/2026-02-24-middle.json');
    writeFileSync(session, change(readFileSync(session, 'utf8')));
    await sealBag(bag, [['Gapbook-Edition', `twelve-seconds ${i + 1}`]], effects);
  }
  return home;
}
const asItIs = (text: string): string => text;

test('there are stored results of every version of their schema', () => {
  for (let schema = 1; schema <= RESULTS_SCHEMA; schema++) expect(existsSync(stored(schema)), `${schema}`).toBe(true);
});

// Medians and least values of the counted laps of the stored file, worked out with Python's statistics.median.
test('an edition of schema 1 is read and shown', async () => {
  const { editions: found, unreadable } = await editionsIn(await editions(1, [asItIs]), effects);
  expect(unreadable).toEqual([]);
  const { figures, sessions } = found[0]!.record;
  expect(sessions).toEqual(['2026-02-24-middle']);
  expect(figures).toMatchObject({ laps: 3 });
  expect(figures!.medianGapS).toBeCloseTo(10.397992093980221, 9);
  expect(figures!.bestGapS).toBeCloseTo(10.274365213725048, 9);
  expect(figures!.medianS).toBeCloseTo(94.65431831626437, 9);
  const cell = (corner: string, name: string) => figures!.cells.find((c) => c.corner === corner && c.cell === name);
  expect(cell('3', 'exit')!.medianGapS).toBeCloseTo(1.103824652499938, 9);
  expect(cell('6', 'braking')!.medianGapS).toBeCloseTo(1.1491259041433821, 9);

  const report = evidenceReport({ ...made({ sessions: [] }), editions: found.map(({ record }) => record) });
  expect(report.headline).toBe('1 edition of 1 milestone');
  expect(report.editions!.rows[0]!.map(({ text }) => text)).toEqual(
    expect.arrayContaining(['Edition 1 of Within twelve seconds', '2026-02-24', '3', '+10.398', 'kept elsewhere']),
  );
  expect(report.fingerprints!.rows[0]![1]!.text).toMatch(/^[0-9a-f]{64}$/);
});

test('what moved between two editions, and that only the data can have done it', async () => {
  const log = (JSON.parse(readFileSync(join(stored(1), 'results/2026-02-24-middle.json'), 'utf8')) as Stored).runs[0]!;
  const hash = log.inputs['2026-02-24-middle/run-01.csv.gz']!;
  const faster = (text: string): string => {
    const session = JSON.parse(text) as Stored;
    session.runs[0]!.inputs['2026-02-24-middle/run-01.csv.gz'] = hash.replaceAll(/./g, '0');
    for (const lap of session.runs[0]!.laps) {
      if (lap.gapS !== null) lap.gapS -= 0.25;
      for (const cell of lap.ledger) if (cell.corner === '6' && cell.cell === 'braking') cell.gapS -= 0.25;
    }
    return JSON.stringify(session);
  };
  const { editions: found } = await editionsIn(await editions(1, [asItIs, faster]), effects);
  const results = { ...made({ sessions: [] }), editions: found.map(({ record }) => record) };
  const [pair, ...more] = pairsOf(results.editions);
  expect(more).toEqual([]);
  const report = movedReport(results, pair!);
  expect(report.headline).toBe('The median gap fell by 0.250 s');
  expect(report.opening).toBe(
    'Of data, method and tool only the data changed, so it is the data that moved the figures.',
  );
  expect(report.reasons.rows.map((row) => row.map(({ text }) => text))).toEqual([
    ['data', '2026-02-24-middle/run-01.csv.gz changed'],
    ['notes', 'nothing'],
    ['method', 'nothing'],
    ['tool', 'nothing'],
  ]);
  expect(report.cells!.rows.map((row) => row.map(({ text }) => text))).toEqual([
    ['6', 'braking', '+1.149', '+0.899', '−0.250'],
  ]);
  expect(report.figure!.caption).toBe(
    'Corner 6, braking, moved most: by −0.250\u202fs. What fell comes to 0.250\u202fs.',
  );
  // One bar hangs, in the colour of a gain, and none stands.
  const bars = report.figure!.drawings[0]!.match(/fill="var\(--(?:loss|gain)\)"/g);
  expect(new Set(bars)).toContain('fill="var(--gain)"');
});

test('an edition whose results are of a version that is not known yet is still listed', async () => {
  const home = await editions(1, [asItIs]);
  const path = join(home, 'twelve-seconds/1/data/edition.json');
  writeFileSync(path, readFileSync(path, 'utf8').replace('"schema": 1', '"schema": 99'));
  const { editions: found } = await editionsIn(home, effects);
  expect(found[0]!.record.figures).toBeNull();
  const report = evidenceReport({ ...made({ sessions: [] }), editions: found.map(({ record }) => record) });
  expect(report.editions!.rows[0]!.map(({ text }) => text)).toContain('–');
});

interface Stored {
  runs: {
    inputs: Record<string, string>;
    laps: { gapS: number | null; ledger: { corner: string; cell: string; gapS: number }[] }[];
  }[];
}
