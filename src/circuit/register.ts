import type { Circuit } from './circuit.ts';
import { type ClosedLine, Foot, LinePoint } from './line.ts';

/** A rotation, then a shift, from one plane into another. */
export interface RigidMove {
  readonly turnRad: number;
  readonly eastM: number;
  readonly northM: number;
  /** Root mean square distance of the moved line from the other one, m. */
  readonly residualM: number;
}

const PLACES = 400;
const TRIES = 72;
/** Closest points slide slowly along a smooth line: so many rounds at most. */
const ROUNDS = 400;

/**
 * Lays a circuit in coordinates of its own over the same circuit of the campaign, by their lines alone; a ridden lap is
 * never used, because driving lines fitted to a centre line shift honest logs by metres.
 *
 * First the start that makes the turning of both lines agree best is searched, then closest points are matched until
 * nothing moves (iterative closest point, rigid).
 */
export function register(from: Circuit, to: Circuit): RigidMove {
  const places = sampled(from.line, PLACES);
  const others = sampled(to.line, PLACES);
  let best: RigidMove | null = null;
  for (let k = 0; k < TRIES; k++) {
    const shift = Math.round((k * PLACES) / TRIES);
    const paired = places.map((_, i) => others[(i + shift) % PLACES]!);
    const move = procrustes(places, paired);
    if (best === null || move.residualM < best.residualM) best = move;
  }
  let move = best!;
  const foot = new Foot();
  const feet: Foot[] = [];
  const point = new LinePoint();
  for (let round = 0; round < ROUNDS; round++) {
    const matched = places.map((place) => {
      const { eastM, northM } = moved(place, move);
      const found = to.line.candidates(eastM, northM, to.lengthM / 20, feet);
      let nearest: Foot = found > 0 ? feet[0]! : to.line.foot(eastM, northM, 0, foot);
      for (let k = 1; k < found; k++) if (Math.abs(feet[k]!.offsetM) < Math.abs(nearest.offsetM)) nearest = feet[k]!;
      const at = to.line.at(nearest.stationM, point);
      return { eastM: at.eastM, northM: at.northM };
    });
    const next = procrustes(places, matched);
    const settled = Math.abs(next.residualM - move.residualM) < 1e-13 * to.lengthM;
    move = next;
    if (settled) break;
  }
  return move;
}

interface Place {
  eastM: number;
  northM: number;
}

function sampled(line: ClosedLine, count: number): Place[] {
  const point = new LinePoint();
  return Array.from({ length: count }, (_, i) => {
    const { eastM, northM } = line.at((i * line.lengthM) / count, point);
    return { eastM, northM };
  });
}

function moved({ eastM, northM }: Place, move: RigidMove): Place {
  const c = Math.cos(move.turnRad);
  const s = Math.sin(move.turnRad);
  return { eastM: c * eastM - s * northM + move.eastM, northM: s * eastM + c * northM + move.northM };
}

/** Best rotation and shift between paired points (two-dimensional Procrustes without scale). */
function procrustes(places: readonly Place[], others: readonly Place[]): RigidMove {
  const n = places.length;
  const mean = (list: readonly Place[], of: (p: Place) => number): number =>
    list.reduce((sum, p) => sum + of(p), 0) / n;
  const e0 = mean(places, (p) => p.eastM);
  const n0 = mean(places, (p) => p.northM);
  const e1 = mean(others, (p) => p.eastM);
  const n1 = mean(others, (p) => p.northM);
  let dot = 0;
  let cross = 0;
  for (let i = 0; i < n; i++) {
    const a = places[i]!.eastM - e0;
    const b = places[i]!.northM - n0;
    const c = others[i]!.eastM - e1;
    const d = others[i]!.northM - n1;
    dot += a * c + b * d;
    cross += a * d - b * c;
  }
  const turnRad = Math.atan2(cross, dot);
  const cos = Math.cos(turnRad);
  const sin = Math.sin(turnRad);
  const move = { turnRad, eastM: e1 - cos * e0 + sin * n0, northM: n1 - sin * e0 - cos * n0, residualM: 0 };
  let squares = 0;
  for (let i = 0; i < n; i++) {
    const at = moved(places[i]!, move);
    squares += (at.eastM - others[i]!.eastM) ** 2 + (at.northM - others[i]!.northM) ** 2;
  }
  return { ...move, residualM: Math.sqrt(squares / n) };
}
