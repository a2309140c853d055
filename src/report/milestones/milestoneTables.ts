import type { SessionResult } from '../../campaign/results.ts';
import { rankedCauses } from '../causes/rankedCauses.ts';
import { CHECKSUM_FILES, checksumsPath, editionPath } from '../evidence/pairs.ts';
import { ledgerTable } from '../ledgerTable.ts';
import { largestTable, medianCells, medianTable } from '../medians.ts';
import { lapsOf } from '../notes/overLaps.ts';
import type { Place } from '../notes/place.ts';
import { evidencePath, milestonePath, sessionPath, tableLinks } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Cell, Table } from '../report.ts';
import { changeTable } from '../weeks/change.ts';
import { lapTime, MISSING, plural, signed } from '../words.ts';
import { conditionsOf } from './conditions.ts';
import { gatesTable } from './gatesTable.ts';
import type { Verdict } from './verdict.ts';

/** The tables of a milestone's page. */
export interface MilestoneTables {
  readonly conditions: Table | null;
  readonly laps: Table | null;
  readonly files: Table | null;
  /** Corner by phase, medians over the laps of the evidence. */
  readonly medians: Table | null;
  readonly best: Table | null;
  /** The largest losses by corner and cause, by phase where no lap was split. */
  readonly remaining: Table | null;
  readonly changes: Table | null;
  /** Its published editions; null where there is none, and in an edition. */
  readonly editions: Table | null;
  /** The gates to the stage, as they stood; null where none is recorded. */
  readonly gates: Table | null;
  /** Behind the figures. */
  readonly verdict: Table | null;
  readonly skyline: Table | null;
}

/** Everything of a milestone that goes into tables. */
export function milestoneTables(
  results: Results,
  verdict: Verdict,
  median: SessionResult | null,
  previous: Verdict | null,
): MilestoneTables {
  const { laps, milestone } = verdict;
  const links = (name: string) => tableLinks(milestonePath(milestone.id), name);
  const moved = (table: Table, id: string): Table => ({ ...table, id, ...links(id) });
  const some = laps.length > 0;
  const cells = median?.summary?.cells ?? [];
  return {
    conditions: conditionsTable(verdict),
    laps: some ? lapsTable(verdict) : null,
    files: some ? filesTable(verdict) : null,
    medians: median && cells.length > 0 ? moved(medianTable(median), 'medians') : null,
    best: bestTable(verdict),
    remaining: median && cells.some((c) => c.medianGapS > 0) ? remaining(median) : null,
    changes: changes(),
    editions: editionsTable(),
    gates: verdict.session && some ? gatesTable(results, verdict.session, links('gates')) : null,
    verdict: some ? { ...lapsTable(verdict), id: 'verdict-data', caption: 'The laps of the figure' } : null,
    skyline: median && cells.length > 0 ? moved(medianCells('skyline-data', median), 'skyline-data') : null,
  };

  function remaining(of: SessionResult): Table {
    // The laps of the evidence speak for the session.
    const table = rankedCauses({ ...results, laps: () => laps }, of, 5, 'group') ?? largestTable(of, 5);
    const caption = `The ${table.rows.length} largest losses, median of the ${plural(laps.length, 'lap')} of the evidence`;
    return { ...moved(table, 'remaining'), caption };
  }

  function changes(): Table | null {
    if (!previous || previous.laps.length === 0 || !some) return null;
    if (previous.session?.circuit !== verdict.session?.circuit) return null;
    const table = changeTable(
      results,
      { id: 'changes', ...links('changes') },
      verdict.session!.circuit,
      { places: onTrack(previous.places), words: `“${previous.milestone.title}”` },
      { places: onTrack(verdict.places), words: `“${milestone.title}”` },
    );
    return lapsOf(results, previous.places[0]!).length > 0 ? table : null;
  }

  function editionsTable(): Table | null {
    const own = results.editions.filter((edition) => edition.milestone === milestone.id);
    if (own.length === 0) return null;
    return {
      id: 'editions',
      caption: 'Published editions, each frozen on its day',
      columns: [
        { title: 'edition', kind: 'text' },
        { title: 'data to', kind: 'text' },
        { title: 'median gap', unit: 's', kind: 'number' },
        { title: 'logs', kind: 'text' },
        { title: 'checksums', kind: 'text' },
        { title: 'their SHA-256', kind: 'text' },
      ],
      rows: own.map((edition) => [
        { text: `edition ${edition.number}`, href: editionPath(edition) },
        { text: edition.asOf },
        { text: signed(edition.figures?.medianGapS, 3) },
        { text: edition.logs ? 'inside' : 'kept elsewhere' },
        { text: CHECKSUM_FILES[0], href: checksumsPath(edition, CHECKSUM_FILES[0]) },
        { text: edition.fingerprint },
      ]),
      ...links('editions'),
      more: [{ text: 'how to verify them, and what moved between them', href: evidencePath }],
    };
  }

  function conditionsTable(of: Verdict): Table | null {
    const asked = conditionsOf(of);
    if (asked.length === 0) return null;
    return {
      id: 'conditions',
      caption: 'What was asked of the evidence beside its pace',
      columns: [
        { title: 'asked', kind: 'text' },
        { title: 'found', kind: 'text' },
        { title: 'kept', kind: 'text' },
      ],
      rows: asked.map(({ asked: text, found, met }): Cell[] => [
        { text },
        { text: found },
        { text: met ? 'yes' : 'no', tone: met ? 'quiet' : 'strong' },
      ]),
      ...links('conditions'),
    };
  }

  function lapsTable(of: Verdict): Table {
    const official = of.laps.some((l) => l.lap.officialS !== null);
    return {
      id: 'laps',
      caption: `The ${plural(of.laps.length, 'lap')} that count, in the order they were ridden`,
      columns: [
        { title: 'session and run', kind: 'text' },
        { title: 'lap', kind: 'number' },
        { title: 'by our log', kind: 'number' },
        ...(official ? [{ title: 'by the circuit', kind: 'number' as const }] : []),
        { title: 'gap', unit: 's', kind: 'number' },
        { title: 'timed by', kind: 'text' },
      ],
      rows: of.laps.map(({ session, run, lap, page, gapS, timedBy, disputed }): Cell[] => [
        { text: `${session.session}/${run.file}`, href: sessionPath(session.session) },
        { text: String(lap.lap), ...(page ? { href: page } : {}) },
        { text: lapTime(lap.timeS) },
        ...(official ? [lap.officialS === null ? { text: MISSING } : { text: lapTime(lap.officialS) }] : []),
        { text: signed(gapS, 3) },
        { text: disputed ? 'log; the circuit’s is disputed' : timedBy === 'circuit' ? 'the circuit' : 'log' },
      ]),
      ...links('laps'),
    };
  }

  function filesTable(of: Verdict): Table {
    const files = new Map<string, string>();
    const put = (session: string, inputs: Readonly<Record<string, string>>): void => {
      for (const [name, hash] of Object.entries(inputs))
        files.set(name.includes('/') ? name : `${session}/${name}`, hash);
    };
    for (const session of new Set(of.laps.map((l) => l.session))) {
      put(session.session, session.inputs.session);
      for (const run of session.runs.filter((r) => of.laps.some((l) => l.run === r))) put(session.session, run.inputs);
      for (const shared of [session.inputs.circuit, session.inputs.phaseMap, session.inputs.reference])
        for (const [name, hash] of Object.entries(shared)) files.set(name, hash);
    }
    return {
      id: 'files',
      caption: 'Every file that the numbers of this page were made from, with its SHA-256',
      columns: [
        { title: 'file', kind: 'text' },
        { title: 'SHA-256', kind: 'text' },
      ],
      rows: [...files].map(([text, hash]) => [{ text }, { text: hash }]),
      ...links('files'),
    };
  }

  function bestTable(of: Verdict): Table | null {
    const best = [...of.laps].sort((a, b) => a.gapS - b.gapS)[0];
    if (!best || best.lap.ledger.length === 0 || best.lap.gapS === null || !best.page) return null;
    const table = ledgerTable(best.lap.ledger, {
      circuit: best.session.circuit,
      totalS: best.lap.gapS,
      sigmaS: best.lap.sigmaS,
      reachM: null,
      ...tableLinks(best.page, 'ledger'),
    });
    return {
      ...table,
      id: 'best',
      caption: `The best lap, ${lapTime(best.lap.timeS)} by the log: lap ${best.lap.lap} of ${best.session.session}/${best.run.file}`,
    };
  }
}

const onTrack = (places: readonly Place[]): Place[] => places.filter(({ session }) => session.stage === 'track');
