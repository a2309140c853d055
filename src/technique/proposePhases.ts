import { type AlignedLap, byStation } from '../align/alignLap.ts';
import type { Circuit } from '../circuit/circuit.ts';
import { type Corner, cornersOf } from '../circuit/corners.ts';
import type { PhaseCorner, PhaseMap } from '../circuit/phases.ts';
import { median } from '../numbers/quantile.ts';
import { signalsOf } from './events.ts';
import { type CornerTechnique, rulesOf, techniqueOf, type Zone } from './technique.ts';

/**
 * Proposes a phase map from the reference rider's laps: corners from the line and the median speed, boundaries from the
 * medians of brake onset, release and pick-up. Null where the laps show no corner.
 *
 * @param laps whole laps of the reference, at least one
 * @param madeFrom said in the file
 */
export function proposePhases(
  circuit: Circuit,
  laps: readonly AlignedLap[],
  madeFrom: string,
  version: number,
): PhaseMap | null {
  const { line, lengthM } = circuit;
  const n = Math.max(500, Math.round(lengthM));
  const grid = Float64Array.from({ length: n }, (_, i) => (i * lengthM) / n);
  const speeds = laps.map((lap) => byStation(lap, lap.run.speedMps, grid));
  const speed = grid.map((_, i) => median(Float64Array.from(speeds.map((v) => v[i]!).filter((v) => !Number.isNaN(v)))));
  const [first] = laps;
  if (!first || speed.some((v) => Number.isNaN(v))) return null;

  const corners = cornersOf(line, speed, acted(first), circuit.corners);
  if (corners.length === 0) return null;
  const zones = zonesBetween(corners, lengthM);
  const measured = laps.map((lap) => techniqueOf(lap, zones, rulesOf(lap)));

  const bounds = corners.map((corner): Omit<PhaseCorner, 'a'> & { corner: Corner } => {
    const of = (pick: (t: CornerTechnique) => number | null): number[] =>
      measured.flatMap((lap) => {
        const t = lap.find((x) => x.corner === corner.name);
        const value = t ? pick(t) : null;
        return value === null ? [] : [value];
      });
    const onsets = of((t) => t.brakeOnsetM);
    const releases = of((t) => t.brakeReleaseM);
    const pickUps = of((t) => t.pickUpM);
    const half = laps.length / 2;
    const brakes = onsets.length > half;
    const ahead = (s: number): number => unwrapNear(s, corner.tightestM, lengthM);
    const mid = (values: number[]): number => ahead(median(Float64Array.from(values)));
    const entry = corner.tightestM - gapTo(corner.entryM, corner.tightestM, lengthM);
    const r = brakes && releases.length > 0 ? mid(releases) : entry;
    const p = pickUps.length > half ? mid(pickUps) : Math.max(r, corner.tightestM);
    const b = brakes ? Math.min(mid(onsets), r) : r;
    const { name, direction, entryM, exitM, radiusM } = corner;
    return { corner, name, direction, entryM, exitM, radiusM, brakes, b, r, p: Math.max(p, r) };
  });

  const wrap = (s: number): number => ((s % lengthM) + lengthM) % lengthM;
  const round = (s: number): number => {
    const tenth = Math.round(wrap(s) * 10) / 10;
    return tenth >= lengthM ? 0 : tenth;
  };
  const rows = bounds.map(({ corner: _, ...own }, i): PhaseCorner => {
    const before = bounds.at(i - 1)!;
    // Middle of the straight before, from the corner before to this onset; never before that corner's pick-up.
    const b = own.b;
    const single = bounds.length === 1 ? lengthM : 0;
    const pickUp = unwrapBefore(before.p, b, lengthM) - (before === bounds[i] ? single : 0);
    const exit = unwrapBefore(before.exitM, b, lengthM);
    const a = Math.min(b, Math.max(pickUp, (Math.max(exit, pickUp) + b) / 2));
    return {
      ...own,
      entryM: round(own.entryM),
      exitM: round(own.exitM),
      a: round(a),
      b: round(own.b),
      r: round(own.r),
      p: round(own.p),
    };
  });
  return { version, circuit: circuit.id, lengthM, madeFrom, corners: rows };
}

/** Zones for a phase map that exists. */
export function zonesOf(map: PhaseMap): Zone[] {
  const { lengthM, corners } = map;
  return corners.map((corner, i) => {
    const next = corners[(i + 1) % corners.length]!;
    const fromM = corner.entryM - gapTo(corner.a, corner.entryM, lengthM);
    const exitM = corner.entryM + gapTo(corner.entryM, corner.exitM, lengthM);
    const span = corners.length === 1 ? lengthM : gapTo(corner.a, next.a, lengthM);
    return { name: corner.name, fromM, entryM: corner.entryM, exitM, toM: Math.max(exitM, fromM + span) };
  });
}

/** Zones from the middle of one straight to the middle of the next. */
function zonesBetween(corners: readonly Corner[], lengthM: number): Zone[] {
  const n = corners.length;
  return corners.map((corner, i) => {
    const before = corners.at(i - 1)!;
    const after = corners[(i + 1) % n]!;
    const lead = n === 1 ? lengthM / 2 : gapTo(before.exitM, corner.entryM, lengthM);
    const trail = n === 1 ? lengthM / 2 : gapTo(corner.exitM, after.entryM, lengthM);
    const exitM = corner.entryM + gapTo(corner.entryM, corner.exitM, lengthM);
    // Overlapping corners of a chicane have no straight between: the shorter way round is the one meant.
    const sane = (gap: number): number => (gap > 0.9 * lengthM ? 0 : gap);
    return {
      name: corner.name,
      fromM: corner.entryM - sane(lead) / 2,
      entryM: corner.entryM,
      exitM,
      toM: exitM + sane(trail) / 2,
    };
  });
}

/** Whether the reference brakes or drives fully between two stations. */
function acted(lap: AlignedLap): (fromM: number, toM: number) => boolean {
  const { run, first, end, gateM } = lap;
  const signals = signalsOf(lap, first, end);
  const { lengthM } = run.circuit;
  const rules = rulesOf(lap);
  const brake = rules.braking === 'brake' && signals.brakeOn ? signals.brakeOn : signals.slowing;
  return (fromM, toM) => {
    for (let i = first; i < end; i++) {
      const s = run.stationM[i]! - gateM;
      const inside = (s >= fromM && s < toM) || (s + lengthM >= fromM && s + lengthM < toM);
      if (inside && (brake[i - first] === 1 || (signals.throttle?.[i - first] ?? 0) > 0.9)) return true;
    }
    return false;
  };
}

/** Way forward from one station to another, in [0, length). */
function gapTo(fromM: number, toM: number, lengthM: number): number {
  return (((toM - fromM) % lengthM) + lengthM) % lengthM;
}

function unwrapNear(stationM: number, nearM: number, lengthM: number): number {
  return stationM + lengthM * Math.round((nearM - stationM) / lengthM);
}

function unwrapBefore(stationM: number, limitM: number, lengthM: number): number {
  return limitM - gapTo(stationM, limitM, lengthM);
}
