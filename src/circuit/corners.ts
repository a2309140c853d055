import { type ClosedLine, LinePoint } from './line.ts';

/** A bend of the line that matters at the reference's speed. Stations in [0, length); entry may lie before the gate. */
export interface Corner {
  readonly name: string;
  readonly direction: 'left' | 'right' | 'both';
  readonly entryM: number;
  readonly exitM: number;
  /** Where the line is tightest, and its radius there. */
  readonly tightestM: number;
  readonly radiusM: number;
}

/** Lateral acceleration at the reference's speed at which a corner begins and ends, m/s². */
export const CORNER_ON_MPS2 = 3;
export const CORNER_OFF_MPS2 = 2;
/** Bends that turn less than this are part of a straight, rad. */
export const CORNER_TURN_RAD = (10 * Math.PI) / 180;
/** Bends of one sign closer in time than this, with nothing done between, are one compound corner, s. */
export const COMPOUND_S = 1;

/**
 * Finds the corners of a circuit from its line and the reference's speed.
 *
 * @param speedMps (n,) of the reference, at stations i * length / n
 * @param between says whether the reference brakes, or drives fully, somewhere between two stations (`to` may exceed
 *   the length); bends of one sign with such a stretch between them stay two corners
 * @param named corners that the circuit file names
 */
export function cornersOf(
  line: ClosedLine,
  speedMps: Float64Array,
  between: (fromM: number, toM: number) => boolean,
  named: readonly { name: string; stationM: number }[],
): Corner[] {
  const n = speedMps.length;
  const step = line.lengthM / n;
  const point = new LinePoint();
  // Curvature over a few metres: a surveyed line rings between its points.
  const half = Math.max(1, Math.round(Math.min(5, line.lengthM / 200) / step));
  const raw = Float64Array.from({ length: n }, (_, i) => line.at(i * step, point).curvaturePerM);
  const bend = raw.map((_, i) => {
    let sum = 0;
    for (let k = -half; k <= half; k++) sum += raw[(i + k + n) % n]!;
    return sum / (2 * half + 1);
  });
  const pull = bend.map((k, i) => k * speedMps[i]! ** 2);

  // Start where the line is straightest, so that no corner is cut by the start of the array.
  let origin = 0;
  for (let i = 1; i < n; i++) if (Math.abs(pull[i]!) < Math.abs(pull[origin]!)) origin = i;
  const at = (i: number): number => (origin + i) % n;
  const pieces: { from: number; to: number; sign: number; turn: number }[] = [];
  let open: { from: number; sign: number } | null = null;
  const close = (to: number): void => {
    if (!open) return;
    let turn = 0;
    for (let k = open.from; k < to; k++) turn += bend[at(k)]! * step;
    if (Math.abs(turn) >= CORNER_TURN_RAD) pieces.push({ from: open.from, to, sign: open.sign, turn });
    open = null;
  };
  for (let i = 0; i < n; i++) {
    const p = pull[at(i)]!;
    if (open && p * open.sign < CORNER_OFF_MPS2) close(i);
    if (!open && Math.abs(p) > CORNER_ON_MPS2) open = { from: i, sign: Math.sign(p) };
  }
  close(n);

  const joined: typeof pieces = [];
  for (const piece of pieces) {
    const last = joined.at(-1);
    if (last && last.sign === piece.sign) {
      let time = 0;
      for (let k = last.to; k < piece.from; k++) time += step / Math.max(0.1 * step, speedMps[at(k)]!);
      const from = (origin + last.to) * step;
      if (time < COMPOUND_S && !between(from, from + (piece.from - last.to) * step)) {
        last.to = piece.to;
        last.turn += piece.turn;
        continue;
      }
    }
    joined.push({ ...piece });
  }

  const corners = joined.map(({ from, to, sign }) => {
    let tight = from;
    for (let k = from; k < to; k++) if (Math.abs(bend[at(k)]!) > Math.abs(bend[at(tight)]!)) tight = k;
    const wrap = (i: number): number => ((origin + i) % n) * step;
    return {
      name: '',
      direction: sign > 0 ? ('left' as const) : ('right' as const),
      entryM: wrap(from),
      exitM: wrap(to),
      tightestM: wrap(tight),
      radiusM: 1 / Math.abs(bend[at(tight)]!),
    };
  });
  corners.sort((x, y) => x.tightestM - y.tightestM);
  const used = new Set<string>();
  return corners.map((corner, i) => {
    const name = named.find(({ stationM }) => within(stationM, corner.entryM, corner.exitM, line.lengthM))?.name;
    const own = name !== undefined && !used.has(name) ? name : String(i + 1);
    used.add(own);
    return { ...corner, name: own };
  });
}

/** Whether a station lies in [from, to) on a closed line. */
export function within(stationM: number, fromM: number, toM: number, lengthM: number): boolean {
  const along = (((stationM - fromM) % lengthM) + lengthM) % lengthM;
  const span = (((toM - fromM) % lengthM) + lengthM) % lengthM;
  return along < span;
}
