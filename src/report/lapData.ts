import type { LapCurves, LedgerCell, MapCorner } from '../campaign/results.ts';
import { cornerWords } from './cells.ts';
import { stretches } from './figures/axis.ts';
import { keptPoints, type Packed, packed } from './packed.ts';

/** Intervals at most: four for three pixels of the widest figure. */
const MOST_INTERVALS = 1200;
/** Doubt changes slowly along a lap. */
export const DOUBT_INTERVALS = 60;

export const MILLISECONDS = 1000;
export const CENTIMETRES = 100;

/** What the script of a lap's page reads off at a station. An empty curve is one that the lap does not have. */
export interface LapData {
  readonly lengthM: number;
  /** Grid that the kept points were chosen from. */
  readonly stepM: number;
  readonly steps: number;
  /** Milliseconds, cm/s and cm, packed. */
  readonly gap: Packed;
  readonly sigma: Packed;
  readonly speed: Packed;
  readonly referenceSpeed: Packed;
  readonly offset: Packed;
  readonly referenceOffset: Packed;
  /** From where on a place has this name, in station order, beginning at the gate. */
  readonly places: readonly (readonly [fromM: number, words: string])[];
  /** Slowest point of each corner, in station order. */
  readonly corners: readonly (readonly [name: string, stationM: number])[];
}

/**
 * The curves of a lap for the cursor that its figures share; null where there are none.
 *
 * @param cells of the lap in station order; none for the reference lap
 * @param compared whether the lap has a gap to show
 */
export function lapData(
  curves: LapCurves | null,
  cells: readonly LedgerCell[],
  corners: readonly MapCorner[],
  compared: boolean,
): LapData | null {
  if (!curves || curves.speedMps.length < 2) return null;
  const steps = curves.speedMps.length - 1;
  const all = keptPoints(steps, MOST_INTERVALS);
  const lengthM = steps * curves.stepM;
  const known = (values: readonly (number | null)[], scale: number, wanted = true, points = all): Packed =>
    wanted && values.some((v) => v !== null) ? packed(values, points, scale) : '';
  return {
    lengthM,
    stepM: curves.stepM,
    steps,
    gap: known(curves.gapS, MILLISECONDS, compared),
    sigma: known(curves.sigmaS, MILLISECONDS, compared, keptPoints(steps, DOUBT_INTERVALS)),
    speed: known(curves.speedMps, CENTIMETRES),
    referenceSpeed: known(curves.referenceMps, CENTIMETRES, compared),
    offset: known(curves.offsetM, CENTIMETRES),
    referenceOffset: known(curves.referenceOffsetM, CENTIMETRES, compared),
    places: cells.length > 0 ? placesOfCells(cells) : placesOfCorners(corners, lengthM),
    corners: slowest(corners, compared ? curves.referenceMps : curves.speedMps, curves.stepM, lengthM),
  };
}

const WORDS = { braking: 'braking', apex: 'apex', exit: 'drive out' } as const;

function placesOfCells(cells: readonly LedgerCell[]): [number, string][] {
  return cells
    .filter((c) => c.toM > c.fromM)
    .map((c) => [
      rounded(c.fromM),
      c.cell === 'straight' ? `towards ${cornerWords(c.corner)}` : `${cornerWords(c.corner)}, ${WORDS[c.cell]}`,
    ]);
}

/** Bends and the straights between them. */
export function placesOfCorners(corners: readonly MapCorner[], lengthM: number): [number, string][] {
  const bends = corners
    .flatMap((c) => stretches(c.entryM, c.exitM, lengthM).map(([from, to]) => ({ name: c.name, from, to })))
    .sort((p, q) => p.from - q.from);
  const places: [number, string][] = [];
  let free = 0;
  for (const { name, from, to } of bends) {
    if (from > free) places.push([rounded(free), `towards ${cornerWords(name)}`]);
    places.push([rounded(from), cornerWords(name)]);
    free = Math.max(free, to);
  }
  if (free < lengthM && bends[0]) places.push([rounded(free), `towards ${cornerWords(bends[0].name)}`]);
  return places;
}

/** Where each corner is ridden slowest; the middle of the bend where no speed is known. */
export function slowest(
  corners: readonly MapCorner[],
  speeds: readonly (number | null)[],
  stepM: number,
  lengthM: number,
): [string, number][] {
  return corners
    .map(({ name, entryM, exitM }): [string, number] => {
      const bend = stretches(entryM, exitM, lengthM);
      let at = -1;
      let least = Number.POSITIVE_INFINITY;
      for (const [from, to] of bend)
        for (let i = Math.ceil(from / stepM); i * stepM <= to; i += 1) {
          const speed = speeds[i];
          if (speed === null || speed === undefined || speed >= least) continue;
          least = speed;
          at = i;
        }
      const [from, to] = bend[0]!;
      return [name, rounded(at < 0 ? (from + to) / 2 : at * stepM)];
    })
    .sort((p, q) => p[1] - q[1]);
}

/** A station to the decimetre, as far as a page shows it. */
const rounded = (stationM: number): number => Math.round(stationM * 10) / 10;
