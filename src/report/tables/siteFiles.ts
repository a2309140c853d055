import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { campaignResult, lapCurves, sessionResult } from '../../campaign/results.ts';
import { workbench } from '../causes/workbench.ts';
import { evidenceReport } from '../evidence/evidence.ts';
import { movedReport } from '../evidence/moved.ts';
import { pairsOf } from '../evidence/pairs.ts';
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
import { readResults } from '../readResults.ts';
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

/**
 * Every file of the site that is not a page or a font: the results as they are, their JSON Schemas, and the tables
 * behind the pages as CSV and JSON. One after the other, so that memory does not grow with the number of laps.
 *
 * @param folder where the analysis left its results
 * @returns site path and text
 */
export function* siteFiles(folder: string): Generator<File> {
  const results = readResults(folder);
  const text = (path: string): string => readFileSync(join(folder, path), 'utf8');
  const on = (page: string, name: string, table: DataTable): Generator<File> =>
    tableFiles(`${tableFolder(page)}/${name}`, table);

  yield ['campaign.json', text('campaign.json')];
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

  for (const session of results.sessions) {
    const laps = results.laps(session);
    const page = sessionPath(session.session);
    yield [`results/${slug(session.session)}.json`, text(`results/${session.session}.json`)];
    yield* on(page, 'laps', lapsData(laps));
    yield* on(page, 'medians', mediansData(session));
    yield* on(page, 'causes', causesData(laps));
    if (session.envelope) yield* on(page, 'envelope', envelopeData(session));
    yield* on(page, 'runs', runsData([session]));
    if (session.rider.kind === 'robot') yield* on(page, 'verdicts', verdictsData(results, session));
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

const schema = (of: z.ZodType): string => `${JSON.stringify(z.toJSONSchema(of))}\n`;
