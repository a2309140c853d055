import type { PhaseMap } from '../circuit/phases.ts';

export type CellName = 'straight' | 'braking' | 'apex' | 'exit';
export type Phase = 'braking' | 'apex' | 'drive';

/** A stretch of the lap with one name. Cells tile [0, length) and are sorted by station. */
export interface Cell {
  readonly corner: string;
  readonly cell: CellName;
  readonly phase: Phase;
  /** Set on the two halves of a cell that the gate cuts. The second was made by the exit of the lap before. */
  readonly part?: 'to gate' | 'from gate';
  readonly fromM: number;
  readonly toM: number;
}

const PHASE: Record<CellName, Phase> = { straight: 'drive', braking: 'braking', apex: 'apex', exit: 'drive' };

/**
 * The cells of a lap pair. Braking begins at the earliest of the reference's usual onset and the two laps' own, not
 * before `a`: who brakes early loses under braking, who arrives slowly loses on the straight.
 *
 * @param onsetsM per corner the onsets of the two laps, where they brake
 */
export function cellsOf(map: PhaseMap, onsetsM: readonly (readonly number[])[]): Cell[] {
  const { lengthM, corners } = map;
  const cells: Cell[] = [];
  corners.forEach((corner, i) => {
    const next = corners[(i + 1) % corners.length]!;
    const place = (stationM: number): Place => placed(stationM, corner.a, lengthM);
    const [a, r, p] = [place(corner.a), place(corner.r), place(corner.p)];
    const end = corners.length === 1 ? { aheadM: corner.a + lengthM, onM: corner.a } : place(next.a);
    const begin = [
      ...(corner.brakes ? [place(corner.b)] : []),
      ...(onsetsM[i] ?? []).map((s) => near(s, a, r, lengthM)),
    ]
      .filter(({ aheadM }) => aheadM < r.aheadM)
      .reduce((first, one) => (one.aheadM < first.aheadM ? one : first), r);
    const braking = begin.aheadM < a.aheadM ? a : begin;
    const bounds: [CellName, Place, Place][] = [
      ['straight', a, braking],
      ['braking', braking, r],
      ['apex', r, p],
      ['exit', p, end],
    ];
    for (const [cell, from, to] of bounds)
      cells.push(...onLap({ corner: corner.name, cell, phase: PHASE[cell] }, from, to, lengthM));
  });
  return cells.sort((x, y) => x.fromM - y.fromM || x.toM - y.toM);
}

/** A station as it is counted on from `a` of its corner, and as it lies on the lap, to the last bit: cells must meet. */
interface Place {
  readonly aheadM: number;
  readonly onM: number;
}

/** A station at or ahead of `a`. */
function placed(stationM: number, a: number, lengthM: number): Place {
  const onM = wrapped(stationM, lengthM);
  return { aheadM: onM >= a ? onM : onM + lengthM, onM };
}

/** An onset as the station closest to the window [a, r]: one just before `a` must not count as almost a lap later. */
function near(stationM: number, a: Place, r: Place, lengthM: number): Place {
  const middle = (a.aheadM + r.aheadM) / 2;
  const aheadM = stationM + lengthM * Math.round((middle - stationM) / lengthM);
  return { aheadM, onM: wrapped(aheadM, lengthM) };
}

function wrapped(stationM: number, lengthM: number): number {
  const on = stationM - lengthM * Math.floor(stationM / lengthM);
  return on < lengthM ? on : 0;
}

/** A stretch, cut where it passes the gate. */
function onLap(name: Omit<Cell, 'fromM' | 'toM' | 'part'>, from: Place, to: Place, lengthM: number): Cell[] {
  if (from.aheadM >= lengthM) return [{ ...name, fromM: from.onM, toM: to.onM }];
  if (to.aheadM <= lengthM) return [{ ...name, fromM: from.onM, toM: to.aheadM }];
  return [
    { ...name, part: 'to gate', fromM: from.onM, toM: lengthM },
    { ...name, part: 'from gate', fromM: 0, toM: to.onM },
  ];
}
