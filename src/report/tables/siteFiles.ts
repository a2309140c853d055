import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { campaignResult, lapCurves, sessionResult } from '../../campaign/results.ts';
import { PHASES } from '../cells.ts';
import { standing } from '../front.ts';
import { cornerPath, sessionPath, slug, tableFolder } from '../paths.ts';
import { readResults } from '../readResults.ts';
import { summary } from '../summary.ts';
import { csv, trimmed } from './csv.ts';
import { curvesCsv } from './curvesCsv.ts';
import { lapsCsv } from './lapsCsv.ts';
import { ledgerCsv } from './ledgerCsv.ts';
import { mediansCsv } from './mediansCsv.ts';
import { techniqueCsv } from './techniqueCsv.ts';

/**
 * Every file of the site that is not a page or a font: the results as they are, their JSON Schemas, and the tables
 * behind the pages as CSV. One after the other, so that memory does not grow with the number of laps.
 *
 * @param folder where the analysis left its results
 * @returns site path and text
 */
export function* siteFiles(folder: string): Generator<readonly [path: string, text: string]> {
  const results = readResults(folder);
  const text = (path: string): string => readFileSync(join(folder, path), 'utf8');
  yield ['campaign.json', text('campaign.json')];
  yield ['results/campaign.schema.json', schema(campaignResult)];
  yield ['results/session.schema.json', schema(sessionResult)];
  yield ['results/curves.schema.json', schema(lapCurves)];
  const all = results.sessions.flatMap((session) => results.laps(session));
  yield ['ledger.csv', ledgerCsv(all)];
  yield ['laps.csv', lapsCsv(all)];
  yield ['tables/index/descent.csv', descentCsv()];
  for (const session of results.sessions) {
    const laps = results.laps(session);
    const tables = tableFolder(sessionPath(session.session));
    yield [`results/${slug(session.session)}.json`, text(`results/${session.session}.json`)];
    yield [`${tables}/laps.csv`, lapsCsv(laps)];
    yield [`${tables}/medians.csv`, mediansCsv(session)];
    for (const of of laps) {
      if (!of.page) continue;
      const curves = results.curves(of.lap);
      if (curves) yield [`${tableFolder(of.page)}/curves.csv`, curvesCsv(curves)];
      yield [`${tableFolder(of.page)}/ledger.csv`, ledgerCsv([of])];
      yield [`${tableFolder(of.page)}/technique.csv`, techniqueCsv([of])];
    }
  }
  for (const circuit of results.campaign.circuits) {
    const robots = results.sessions.filter((s) => s.circuit === circuit.id && s.rider.kind === 'robot');
    const laps = robots.flatMap((s) => results.laps(s)).filter((l) => l.speaks);
    for (const corner of circuit.corners) {
      const tables = tableFolder(cornerPath(circuit.id, corner.name));
      yield [`${tables}/technique.csv`, techniqueCsv(laps, corner.name)];
      yield [`${tables}/losses.csv`, lossesCsv(corner.name, circuit.id)];
    }
  }

  function descentCsv(): string {
    const rows = results.sessions
      .filter((s) => s.rider.kind === 'robot')
      .flatMap((s) => {
        const range = standing(results, s);
        return range
          ? [
              [
                s.session,
                s.date,
                s.stage,
                s.circuit,
                s.controller,
                range.n,
                trimmed(range.median, 6),
                trimmed(range.low, 6),
                trimmed(range.high, 6),
              ],
            ]
          : [];
      });
    return csv(
      ['session', 'date', 'stage', 'circuit', 'controller', 'laps', 'median gap [s]', 'least [s]', 'greatest [s]'],
      rows,
    );
  }

  function lossesCsv(corner: string, circuit: string): string {
    const rows = results.sessions
      .filter((s) => s.circuit === circuit && s.rider.kind === 'robot')
      .flatMap((s) => {
        const laps = results.laps(s).filter((l) => l.speaks && l.lap.ledger.some((c) => c.corner === corner));
        const of = (phase: string | null) =>
          summary(
            laps.map((l) =>
              l.lap.ledger
                .filter((c) => c.corner === corner && (phase === null || c.phase === phase))
                .reduce((t, c) => t + c.gapS, 0),
            ),
          );
        if (laps.length === 0) return [];
        return [...PHASES, null].map((phase) => {
          const range = of(phase);
          return [
            s.session,
            s.date,
            s.stage,
            phase ?? 'total',
            laps.length,
            trimmed(range?.median, 6),
            trimmed(range?.low, 6),
            trimmed(range?.high, 6),
          ];
        });
      });
    return csv(['session', 'date', 'stage', 'phase', 'laps', 'median gap [s]', 'least [s]', 'greatest [s]'], rows);
  }
}

const schema = (of: z.ZodType): string => `${JSON.stringify(z.toJSONSchema(of), null, 2)}\n`;
