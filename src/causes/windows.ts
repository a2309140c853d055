import type { PhaseCorner, PhaseMap } from '../circuit/phases.ts';

/** A corner's stretch of a lap, [a, a of the next corner), cut where the gate lies in it. Stations from the gate. */
export interface CornerWindow {
  readonly corner: PhaseCorner;
  /** Set on the two halves of a window that the gate cuts. The second follows the gate. */
  readonly part: 'to gate' | 'from gate' | null;
  readonly fromM: number;
  readonly toM: number;
}

/** Windows that tile [0, length), by station: the same stretches as the sums of a corner's ledger cells. */
export function windowsOf({ corners, lengthM }: PhaseMap): CornerWindow[] {
  const out: CornerWindow[] = [];
  corners.forEach((corner, i) => {
    const to = corners[(i + 1) % corners.length]!.a;
    const whole = { corner, part: null };
    if (corner.a < to) out.push({ ...whole, fromM: corner.a, toM: to });
    else {
      if (lengthM > corner.a) out.push({ corner, part: to > 0 ? 'to gate' : null, fromM: corner.a, toM: lengthM });
      if (to > 0) out.push({ corner, part: 'from gate', fromM: 0, toM: to });
    }
  });
  return out.sort((x, y) => x.fromM - y.fromM);
}
