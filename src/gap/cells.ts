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
    const ahead = (stationM: number): number => corner.a + ((((stationM - corner.a) % lengthM) + lengthM) % lengthM);
    const r = ahead(corner.r);
    const p = ahead(corner.p);
    const end = corners.length === 1 ? corner.a + lengthM : ahead(next.a);
    const begins = [
      ...(corner.brakes ? [ahead(corner.b)] : []),
      ...(onsetsM[i] ?? []).map((s) => nearest(s, corner.a, r, lengthM)),
    ];
    const begin = Math.min(r, Math.max(corner.a, Math.min(r, ...begins)));
    const bounds: [CellName, number, number][] = [
      ['straight', corner.a, begin],
      ['braking', begin, r],
      ['apex', r, p],
      ['exit', p, end],
    ];
    for (const [cell, fromM, toM] of bounds)
      cells.push(...onLap({ corner: corner.name, cell, phase: PHASE[cell] }, fromM, toM, lengthM));
  });
  return cells.sort((x, y) => x.fromM - y.fromM || x.toM - y.toM);
}

/** An onset as the station closest to the window [a, r]: one just before `a` must not count as almost a lap later. */
function nearest(stationM: number, a: number, r: number, lengthM: number): number {
  const middle = (a + r) / 2;
  return stationM + lengthM * Math.round((middle - stationM) / lengthM);
}

/** A stretch in rising stations, brought into [0, length) and cut where it passes the gate. */
function onLap(name: Omit<Cell, 'fromM' | 'toM' | 'part'>, fromM: number, toM: number, lengthM: number): Cell[] {
  const laps = Math.floor(fromM / lengthM);
  const from = fromM - laps * lengthM;
  const to = toM - laps * lengthM;
  if (to <= lengthM) return [{ ...name, fromM: from, toM: to }];
  return [
    { ...name, part: 'to gate', fromM: from, toM: lengthM },
    { ...name, part: 'from gate', fromM: 0, toM: to - lengthM },
  ];
}
