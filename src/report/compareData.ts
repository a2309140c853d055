import type { LedgerCell, SessionResult } from '../campaign/results.ts';
import { cornerWords, ledgerRows, rowTitle } from './cells.ts';
import { CENTIMETRES, DOUBT_INTERVALS, MILLISECONDS, placesOfCorners, slowest } from './lapData.ts';
import { keptPoints, type Packed, packed } from './packed.ts';
import { lapSlug, relative, sessionPath, tableFolder } from './paths.ts';
import type { LapOf, Results } from './readResults.ts';

/** Numbers that the curves of all laps may take together; a number is one letter of the page or two. */
const MOST_NUMBERS = 45_000;
const INTERVALS = { least: 200, most: 1500 } as const;

/** A lap that can be chosen. */
export interface ComparedLap {
  /** Names the lap in the address. */
  readonly key: string;
  /** In a sentence: `lap 3`, `the reference lap`. */
  readonly name: string;
  /** What else the list of laps says of it. */
  readonly aside: string;
  readonly reference: boolean;
  readonly timeS: number;
  /** Page of the lap and folder of its tables, relative to the page of the session. */
  readonly href: string;
  readonly tables: string;
  /** Time since the gate in milliseconds and speed in cm/s, packed. */
  readonly time: Packed;
  readonly speed: Packed;
  /** Standard deviation of the gap to the reference lap, milliseconds, on a grid of its own. */
  readonly sigma: Packed;
  /** Gap to the reference lap in each window, seconds, and its standard deviation; null where it is not known. */
  readonly windows: readonly (readonly [gapS: number, sigmaS: number] | null)[];
}

/** What the script of a session's page needs to compare any two of its laps. */
export interface CompareData {
  readonly lengthM: number;
  readonly stepM: number;
  readonly steps: number;
  readonly laps: readonly ComparedLap[];
  /** The pair that is shown first. */
  readonly first: readonly [a: string, b: string];
  readonly bends: readonly { readonly name: string; readonly entryM: number; readonly exitM: number }[];
  /** Rows of the ledger. */
  readonly windows: readonly {
    readonly title: string;
    /** In a sentence: `in corner 3`, `from the gate to corner 1`. */
    readonly where: string;
    readonly fromM: number;
    readonly toM: number;
  }[];
  readonly places: readonly (readonly [fromM: number, words: string])[];
  readonly corners: readonly (readonly [name: string, stationM: number])[];
}

/**
 * The complete laps of a session and the reference lap, for a comparison of any two; null where there are not two.
 *
 * Every curve of a circuit lies on the same grid of stations, so the time between two laps at a station is the plain
 * difference of their times there.
 */
export function compareData(results: Results, session: SessionResult): CompareData | null {
  const circuit = results.circuit(session.circuit);
  const reference = session.reference ? results.lap(session.reference) : undefined;
  if (!circuit) return null;
  const same = (a: LapOf, b: LapOf | undefined): boolean =>
    a.session.session === b?.session.session && a.run.file === b.run.file && a.lap.lap === b.lap.lap;
  const candidates = [...results.laps(session), ...(reference ? [reference] : [])].filter(
    (of, i, all) => of.lap.timeS !== null && of.page !== null && !(same(of, reference) && i < all.length - 1),
  );
  const withCurves = candidates.flatMap((of) => {
    const curves = results.curves(of.lap);
    return curves && curves.timeS.length > 1 ? [{ of, curves }] : [];
  });
  const steps = (withCurves[0]?.curves.timeS.length ?? 1) - 1;
  const chosen = withCurves.filter(({ curves }) => curves.timeS.length - 1 === steps);
  const [first] = chosen;
  if (!first || chosen.length < 2) return null;

  const { stepM } = first.curves;
  const intervals = Math.floor(MOST_NUMBERS / (2 * chosen.length));
  const points = keptPoints(steps, Math.max(INTERVALS.least, Math.min(INTERVALS.most, intervals)));
  const doubtPoints = keptPoints(steps, DOUBT_INTERVALS);
  const ordered = (cells: readonly LedgerCell[]): LedgerCell[] =>
    [...cells].sort((p, q) => p.fromM - q.fromM || p.toM - q.toM);
  const longest = chosen.reduce((a, b) => (b.of.lap.ledger.length > a.of.lap.ledger.length ? b : a));
  const rows = ledgerRows(ordered(longest.of.lap.ledger));
  const path = sessionPath(session.session);
  const severalRuns = session.runs.length > 1;

  const laps = chosen.map(({ of, curves }): ComparedLap => {
    const isReference = same(of, reference);
    const own = ledgerRows(ordered(of.lap.ledger));
    const run = severalRuns ? ` of ${runWords(of.run.file)}` : '';
    return {
      key: isReference ? 'reference' : lapSlug(of.run.file, of.lap.lap),
      name: isReference ? 'the reference lap' : `lap ${of.lap.lap}${run}`,
      aside: isReference
        ? of.session.session === session.session
          ? `lap ${of.lap.lap}${run}`
          : of.session.session
        : of.lap.counted
          ? ''
          : of.lap.valid
            ? 'not counted'
            : 'not valid',
      reference: isReference,
      timeS: of.lap.timeS!,
      href: relative(path, of.page!),
      tables: relative(path, tableFolder(of.page!)),
      time: packed(curves.timeS, points, MILLISECONDS),
      speed: packed(curves.speedMps, points, CENTIMETRES),
      sigma: isReference ? '' : packed(curves.sigmaS, doubtPoints, MILLISECONDS),
      windows: rows.map(({ corner, piece }) => {
        if (isReference) return [0, 0];
        const row = own.find((r) => r.corner === corner && r.piece === piece);
        if (!row) return null;
        const gapS = row.cells.reduce((sum, c) => sum + c.gapS, 0);
        const sigmaS = Math.sqrt(row.cells.reduce((sum, c) => sum + c.sigmaS ** 2, 0));
        return [Number(gapS.toFixed(4)), Number(sigmaS.toFixed(4))];
      }),
    };
  });
  return {
    lengthM: steps * stepM,
    stepM,
    steps,
    laps,
    first: firstPair(),
    bends: circuit.corners.map(({ name, entryM, exitM }) => ({ name, entryM, exitM })),
    windows: rows.map((row, i) => ({
      title: rowTitle(row, rows),
      where: whereWords(row.piece, row.corner, rows[row.piece === 'from gate' ? i + 1 : i - 1]?.corner ?? row.corner),
      fromM: Number(row.cells[0]!.fromM.toFixed(1)),
      toM: Number(row.cells.at(-1)!.toM.toFixed(1)),
    })),
    places: placesOfCorners(circuit.corners, steps * stepM),
    corners: slowest(circuit.corners, first.curves.referenceMps, stepM, steps * stepM),
  };

  /** The median lap against the best one, if these are two; else the first against the last. */
  function firstPair(): [string, string] {
    const keyOf = (name: { run: string; lap: number } | undefined): string | undefined =>
      laps.find((_, i) => chosen[i]!.of.run.file === name?.run && chosen[i]!.of.lap.lap === name.lap)?.key;
    const [a, b] = [keyOf(session.summary?.medianLap), keyOf(session.summary?.bestLap)];
    return a && b && a !== b ? [a, b] : [laps[0]!.key, laps.at(-1)!.key];
  }
}

/** A run by its file’s name without folder and endings. */
const runWords = (file: string): string => file.replace(/^.*\//, '').replace(/\.[A-Za-z0-9.]+$/, '');

const whereWords = (piece: 'corner' | 'from gate' | 'to gate', corner: string, beside: string): string =>
  ({
    corner: `in ${cornerWords(corner)}`,
    'from gate': `from the gate to ${cornerWords(beside)}`,
    'to gate': `from ${cornerWords(beside)} to the gate`,
  })[piece];
