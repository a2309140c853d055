import type { Side } from './describe.ts';
import { DriveLimit, type Envelope, resistanceMps2 } from './envelope.ts';
import type { Shift } from './ingredients.ts';

export interface FoundShift {
  /** Step at which it begins. */
  readonly row: number;
  /** In each step from there on. */
  readonly missingMps2: Float64Array;
  readonly shift: Shift;
}

/** Drive is away somewhere between so long before the new gear is in and so long after, s. */
const BEFORE_S = 0.25;
const AFTER_S = 0.2;
/** For so long at least and at most, s. */
const SHORTEST_S = 0.03;
const LONGEST_S = 0.4;
/** Speed is looked at for this long on both sides, s. */
const AROUND_S = 0.8;
/** What the new gear may change of the acceleration, one standard deviation, m/s². */
const GEAR_SIGMA_MPS2 = 0.3;
/** What else bends the curve of v² / 2 against steady use, one standard deviation, m²/s². */
const BENT_SIGMA = 4;
/** Scatter of v² / 2 from cell to cell against which that counts, m²/s². */
const SCATTER = 1.5;
/** Engine braking takes a little more than all of the drive. */
const MOST_MISSING = 1.3;
/** Places and lengths that are tried. */
const PLACES = 16;
const LENGTHS = 10;

/**
 * Gear changes under drive: speed that is lost against a smooth curve through what is before and behind, where a ramp
 * down of unknown place, length and size fits the energies best (least squares). Nothing is differentiated, so that
 * the scatter of single speeds hardly matters.
 *
 * @param upshiftsM where a higher gear was in, m from the start of the stretch
 * @param offRow,pickUpRow drive lasts until the one and from the other on
 */
export function shiftsOf(
  upshiftsM: readonly number[],
  { ridden, machine }: Side,
  envelope: Envelope,
  offRow: number,
  pickUpRow: number,
): { approach: FoundShift[]; exit: FoundShift[] } {
  const { energy, pathPerStation, curvaturePerM, stepM, softCells } = ridden;
  const n = energy.length;
  const limit = DriveLimit.of(envelope);
  const approach: FoundShift[] = [];
  const exit: FoundShift[] = [];
  const rows = upshiftsM.map((s) => s / stepM).filter((row) => row > softCells && row < n - softCells);
  rows.forEach((row, j) => {
    const [low, high] = row < offRow ? [0, offRow] : [pickUpRow, n - 1];
    if (row < low || row >= high) return;
    const at = Math.round(row);
    const cellS = (stepM * pathPerStation[at]!) / Math.sqrt(2 * energy[at]!);
    // Not into the gear change before or behind.
    const first = Math.ceil(Math.max(low, row - AROUND_S / cellS, j > 0 ? (rows[j - 1]! + row) / 2 : low));
    const last = Math.floor(
      Math.min(high, row + AROUND_S / cellS, j + 1 < rows.length ? (row + rows[j + 1]!) / 2 : high),
    );
    if (last - first < 8) return;
    // What steady use of the drive would have done, so that only departures from it are left.
    const rest = new Float64Array(n);
    let push = 0;
    let can = 0;
    for (let i = first; i < last; i++) {
      push += resistanceMps2(envelope, machine.dragPerM, energy[i]!) * stepM * pathPerStation[i]!;
      can += limit.at(machine.powerScale, energy[i]!, Math.abs(curvaturePerM[i]!)) * stepM * pathPerStation[i]!;
    }
    const use = (energy[last]! - energy[first]! + push) / can;
    let steady = energy[first]!;
    for (let i = first; i <= last; i++) {
      rest[i] = energy[i]! - steady;
      const drive = use * limit.at(machine.powerScale, energy[i]!, Math.abs(curvaturePerM[i]!));
      steady += (drive - resistanceMps2(envelope, machine.dragPerM, energy[i]!)) * stepM * pathPerStation[i]!;
    }
    const fit = new RampFit(rest, first, last, row, stepM * pathPerStation[at]!);
    let best: Ramp | null = null;
    for (let p = 0; p <= PLACES; p++)
      for (let l = 0; l <= LENGTHS; l++) {
        const from = row - (BEFORE_S - (p / PLACES) * (BEFORE_S + AFTER_S)) / cellS;
        const length = (SHORTEST_S * (LONGEST_S / SHORTEST_S) ** (l / LENGTHS)) / cellS;
        if (from < first + 3 || from + length > last - 3) continue;
        const ramp = fit.at(from, length);
        if (ramp && (best === null || ramp.misfit < best.misfit)) best = ramp;
      }
    if (best === null || !(best.lost > 0)) return;
    // In whole steps: what the ramp takes from one cell to the next.
    const { from, length, lost } = best;
    const start = Math.max(0, Math.floor(from));
    const done = (i: number): number => Math.min(1, Math.max(0, (i - from) / length));
    const missingMps2 = Float64Array.from(
      { length: Math.ceil(from + length) - start },
      (_, k) => (lost * (done(start + k + 1) - done(start + k))) / (stepM * pathPerStation[start + k]!),
    );
    const missingShare = missingMps2.map((m, k) => {
      const i = Math.min(n - 1, start + k);
      // The bridge over the gap: steady use is a little low because the gap is in it.
      const force = (use + lost / can) * limit.at(machine.powerScale, energy[i]!, Math.abs(curvaturePerM[i]!));
      return Math.min(MOST_MISSING, m / Math.max(force, 1e-9));
    });
    const found = { row: start, missingMps2, shift: { triggerEnergy: energy[start]!, missingShare, lost, share: 1 } };
    (row < offRow ? approach : exit).push(found);
  });
  return { approach, exit };
}

interface Ramp {
  readonly from: number;
  readonly length: number;
  /** v² / 2 that is lost, m²/s². */
  readonly lost: number;
  readonly misfit: number;
}

const SIZE = 5;
const WIDTH = SIZE + 1;

/**
 * Least squares of a departure from steady drive as straight line, parabola (held small), change of slope at a row (held
 * small), and a ramp down. What does not depend on the ramp is summed once, so that many ramps can be tried.
 */
class RampFit {
  readonly #first: number;
  readonly #last: number;
  /** (5 × 6,) normal equations without the ramp's entries. */
  readonly #without: Float64Array;
  /** Of each column and of the departure: its entries, and their sums from each row to the end. */
  readonly #entries: readonly Float64Array[];
  readonly #behind: readonly Float64Array[];
  readonly #squares: number;
  readonly #m = new Float64Array(SIZE * WIDTH);
  readonly #right = new Float64Array(SIZE);

  constructor(rest: Float64Array, first: number, last: number, row: number, pathStep: number) {
    const half = (last - first) / 2;
    const count = last - first + 1;
    const x = Float64Array.from({ length: count }, (_, k) => k / half - 1);
    const columns = [
      new Float64Array(count).fill(1),
      x,
      x.map((v) => v * v),
      Float64Array.from({ length: count }, (_, k) => Math.max(0, first + k - row) / half),
    ];
    const own = rest.subarray(first, last + 1);
    const m = new Float64Array(SIZE * WIDTH);
    columns.forEach((c, r) => {
      for (let k = 0; k < count; k++) {
        for (let q = 0; q < columns.length; q++) m[r * WIDTH + q]! += c[k]! * columns[q]![k]!;
        m[r * WIDTH + SIZE]! += c[k]! * own[k]!;
      }
    });
    m[2 * WIDTH + 2]! += (SCATTER / BENT_SIGMA) ** 2;
    m[3 * WIDTH + 3]! += (SCATTER / (GEAR_SIGMA_MPS2 * pathStep * half)) ** 2;
    this.#first = first;
    this.#last = last;
    this.#without = m;
    this.#entries = [...columns, own];
    this.#behind = this.#entries.map((values) => {
      const sums = new Float64Array(count + 1);
      for (let k = count - 1; k >= 0; k--) sums[k] = sums[k + 1]! + values[k]!;
      return sums;
    });
    this.#squares = own.reduce((sum, v) => sum + v * v, 0);
  }

  /** The fit with the ramp at a place. */
  at(from: number, length: number): Ramp | null {
    const m = this.#m;
    m.set(this.#without);
    const start = Math.max(this.#first, Math.ceil(from));
    const full = Math.min(this.#last + 1, Math.max(start, Math.ceil(from + length)));
    for (let c = 0; c < WIDTH - 1; c++) {
      const values = this.#entries[c]!;
      let sum = this.#behind[c]![full - this.#first]!;
      for (let i = start; i < full; i++) sum += (values[i - this.#first]! * (i - from)) / length;
      // The last entry is the departure's, the right side.
      const column = c === SIZE - 1 ? SIZE : c;
      m[(SIZE - 1) * WIDTH + column] = -sum;
      if (c < SIZE - 1) m[c * WIDTH + SIZE - 1] = -sum;
    }
    let squares = this.#last + 1 - full;
    for (let i = start; i < full; i++) squares += ((i - from) / length) ** 2;
    m[(SIZE - 1) * WIDTH + SIZE - 1] = squares;
    const right = this.#right;
    for (let r = 0; r < SIZE; r++) right[r] = m[r * WIDTH + SIZE]!;
    for (let k = 0; k < SIZE; k++) {
      const pivot = m[k * WIDTH + k]!;
      if (!(pivot > 1e-9)) return null;
      for (let r = 0; r < SIZE; r++) {
        if (r === k) continue;
        const f = m[r * WIDTH + k]! / pivot;
        for (let c = k; c < WIDTH; c++) m[r * WIDTH + c]! -= f * m[k * WIDTH + c]!;
      }
    }
    let misfit = this.#squares;
    let lost = 0;
    for (let k = 0; k < SIZE; k++) {
      const value = m[k * WIDTH + SIZE]! / m[k * WIDTH + k]!;
      misfit -= value * right[k]!;
      lost = value;
    }
    return { from, length, lost, misfit };
  }
}
