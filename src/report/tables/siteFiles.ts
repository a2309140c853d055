import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { resultPath } from '../../campaign/analyseCampaign.ts';
import { campaignResult, lapCurves, type SessionResult, sessionResult } from '../../campaign/results.ts';
import { sha256 } from '../../effects.ts';
import { workbench } from '../causes/workbench.ts';
import { evidenceReport } from '../evidence/evidence.ts';
import { movedReport } from '../evidence/moved.ts';
import { pairsOf } from '../evidence/pairs.ts';
import { foundOf } from '../findings/found.ts';
import {
  cornerPath,
  frontPath,
  methodPath,
  problemsPath,
  progressPath,
  sessionPath,
  slug,
  tableFolder,
  testDayPath,
} from '../paths.ts';
import type { Results, StoredResults } from '../readResults.ts';
import { robotDays } from '../robotDays.ts';
import { testDayReport } from '../testDay.ts';
import { feedOf, feedPath } from '../weeks/feed.ts';
import { causesData, envelopeData } from './causesData.ts';
import { cornersData } from './cornersData.ts';
import { curvesData } from './curvesData.ts';
import { type DataTable, tableFiles } from './dataTable.ts';
import { descentData } from './descentData.ts';
import {
  cornerVerdictsData,
  fanData,
  needsData,
  nextByCauseData,
  nextData,
  stepsData,
  targetsData,
  verdictsData,
  versionsData,
} from './findingsData.ts';
import { ofOneLap } from './lapColumns.ts';
import { lapsData } from './lapsData.ts';
import { ledgerData } from './ledgerData.ts';
import { lossesData } from './lossesData.ts';
import { mediansData } from './mediansData.ts';
import { circuitsData, constantsData } from './methodData.ts';
import { noteTables } from './noteTables.ts';
import { placesData } from './placesData.ts';
import { codesData, problemsData } from './problemsData.ts';
import { configurationsData, matrixData, phasesData } from './rollupData.ts';
import { rollups } from './rollups.ts';
import { runsData } from './runsData.ts';
import { sessionsData } from './sessionsData.ts';
import { shownData } from './shownData.ts';
import { techniqueData } from './techniqueData.ts';

type File = readonly [path: string, text: string];

/** Whether a file is one of the results, which an edition has packed: they would be a quarter of it. */
export const isResult = (path: string): boolean =>
  path === 'campaign.json' || /^results\/.*(?<!\.schema)\.json$/.test(path);

/** Files of the site that are made from the same things, and so change together. */
export interface FileGroup {
  /** Covers everything that the files are made from, the code apart; null where that is the whole campaign. */
  readonly key: string | null;
  /** Site path and text, one after the other, so that memory does not grow with the number of laps. */
  files(): Iterable<File>;
}

/**
 * Every file of the site that is not a page or a font: the results as they are, their JSON Schemas, and the tables
 * behind the pages as CSV and JSON. What belongs to one session alone is a group of its own.
 */
export function fileGroups(results: StoredResults): FileGroup[] {
  return [
    { key: null, files: () => campaignFiles(results) },
    ...results.sessions.flatMap((session): FileGroup[] => {
      const laps = results.laps(session);
      const paths = [resultPath(session.session), ...laps.flatMap(({ lap }) => lap.curves ?? [])];
      const read = paths.map((path) => results.hashes.get(path));
      const pages = laps.map(({ page }) => page);
      const keyOf = (...parts: readonly unknown[]): string => sha256(JSON.stringify([session.session, ...parts]));
      return [
        {
          key: read.includes(undefined) ? null : keyOf(read, pages),
          files: () => sessionFiles(results, session),
        },
        // What is found of a session is found by comparing it with others, and moves with them.
        { key: keyOf('verdicts', foundOf(results, session.session)), files: () => verdictFiles(results, session) },
      ];
    }),
  ];
}

/** The files of all groups. */
export function* siteFiles(results: Results): Generator<File> {
  for (const { files } of fileGroups({ ...results, hashes: new Map() })) yield* files();
}

const text = ({ folder }: Results, path: string): string => readFileSync(join(folder, path), 'utf8');

/** The rows behind a table of a page, in both forms. */
const on = (page: string, name: string, table: DataTable): Iterable<File> =>
  tableFiles(`${tableFolder(page)}/${name}`, table);

/** What belongs to the whole campaign. */
function* campaignFiles(results: Results): Generator<File> {
  yield ['campaign.json', text(results, 'campaign.json')];
  yield ['results/campaign.schema.json', schema(campaignResult)];
  yield ['results/session.schema.json', schema(sessionResult)];
  yield ['results/curves.schema.json', schema(lapCurves)];

  const all = results.sessions.flatMap((session) => results.laps(session));
  const rolled = rollups(results);
  const feed = feedOf(results);
  if (feed) yield [feedPath, feed];
  yield* tableFiles('ledger', ledgerData(all));
  yield* tableFiles('laps', lapsData(all));
  yield* tableFiles('runs', runsData(results.sessions));
  yield* on(frontPath, 'sessions', sessionsData(results));
  yield* on(frontPath, 'descent', descentData(results));
  yield* on(frontPath, 'phases', phasesData(results, rolled));
  yield* on(frontPath, 'configurations', configurationsData(rolled));
  yield* on(methodPath, 'constants', constantsData());
  yield* on(methodPath, 'circuits', circuitsData(results));
  yield* on(problemsPath, 'problems', problemsData(results));
  yield* on(problemsPath, 'codes', codesData(results));

  const evidence = evidenceReport(results);
  const moved = pairsOf(results.editions).map((pair) => movedReport(results, pair));
  for (const table of [
    ...[evidence.editions, evidence.fingerprints, evidence.moved],
    ...moved.flatMap(({ figures, reasons, cells }) => [figures, reasons, cells]),
  ])
    if (table) yield* tableFiles(table.csv.replace(/\.csv$/, ''), shownData(table));

  for (const table of noteTables(results)) yield* tableFiles(table.csv.replace(/\.csv$/, ''), shownData(table));

  for (const found of results.campaign.findings.circuits) {
    const at = (name: string): string => `${name}-${slug(found.circuit)}`;
    yield* on(progressPath, at('versions'), versionsData(results, found));
    yield* on(progressPath, at('steps'), stepsData(found));
    yield* on(progressPath, at('next'), nextData(found));
    yield* on(progressPath, at('next-by-cause'), nextByCauseData(found));
    yield* on(progressPath, at('targets'), targetsData(found));
    yield* on(progressPath, at('fan'), fanData(found));
  }
  for (const versions of [2, 3]) yield* on(testDayPath, `needs-${versions}`, needsData(results, versions));
  for (const sheet of testDayReport(results).sheets)
    yield* tableFiles(sheet.csv.replace(/\.csv$/, ''), shownData(sheet));
  for (const circuit of results.campaign.circuits) {
    const laps = robotDays(results, circuit.id).flatMap((day) => day.laps);
    yield* on(frontPath, `corners-${slug(circuit.id)}`, cornersData(results, circuit));
    yield* on(frontPath, `matrix-${slug(circuit.id)}`, matrixData(results, rolled, circuit));
    for (const corner of circuit.corners) {
      const page = cornerPath(circuit.id, corner.name);
      yield* on(page, 'technique', techniqueData(laps, corner.name));
      yield* on(page, 'losses', lossesData(results, circuit, corner));
      yield* on(page, 'places', placesData(results, circuit, corner));
      yield* on(page, 'verdicts', cornerVerdictsData(results, circuit.id, corner.name));
    }
  }
}

/** What is made from the laps of one session. */
function* sessionFiles(results: Results, session: SessionResult): Generator<File> {
  const laps = results.laps(session);
  const page = sessionPath(session.session);
  yield [`results/${slug(session.session)}.json`, text(results, resultPath(session.session))];
  yield* on(page, 'laps', lapsData(laps));
  yield* on(page, 'medians', mediansData(session));
  yield* on(page, 'causes', causesData(laps));
  if (session.envelope) yield* on(page, 'envelope', envelopeData(session));
  yield* on(page, 'runs', runsData([session]));
  for (const of of laps) {
    if (!of.page) continue;
    const curves = results.curves(of.lap);
    if (curves) yield* on(of.page, 'curves', curvesData(curves));
    yield* on(of.page, 'ledger', ofOneLap(ledgerData([of])));
    yield* on(of.page, 'technique', ofOneLap(techniqueData([of])));
    const bench = workbench(of);
    if (bench) yield* on(of.page, 'workbench', shownData(bench.table));
  }
}

/** What is made from the findings on one session. */
function* verdictFiles(results: Results, session: SessionResult): Generator<File> {
  if (session.rider.kind === 'robot')
    yield* on(sessionPath(session.session), 'verdicts', verdictsData(results, session));
}

const schema = (of: z.ZodType): string => `${JSON.stringify(z.toJSONSchema(of))}\n`;
