import { composite, type SectionedLap } from '../../statistics/composite.ts';
import type { LapCurves, LapResult, MapCorner, RunResult, SessionResult } from '../results.ts';
import { whole } from './written.ts';

/** Joints nearer to each other than this are one, m. */
const APART_M = 20;

/**
 * The fastest lap that the counted laps of a session could be put together to, beside its best.
 *
 * @param corners of the phase map: joints lie where their phases change
 * @param curves of the laps by their file
 * @returns null with fewer than two laps that have curves all the way round
 */
export function compositeOf(
  rider: string,
  runs: readonly RunResult[],
  corners: readonly MapCorner[],
  lengthM: number,
  curves: ReadonlyMap<string, LapCurves>,
): SessionResult['composite'] {
  const joints = jointsOf(corners, lengthM);
  const laps = runs
    .filter((run) => run.rider === rider)
    .flatMap((run) =>
      run.laps.flatMap((lap) => {
        const sections = lap.counted ? sectionsOf(lap, curves.get(lap.curves ?? ''), joints) : null;
        return sections ? [{ run: run.file, lap: lap.lap, sections }] : [];
      }),
    );
  const found = laps.length < 2 ? null : composite(laps.map(({ sections }) => sections));
  if (!found?.best) return null;
  const name = (index: number) => ({ run: laps[index]!.run, lap: laps[index]!.lap });
  const parts: { fromM: number; toM: number; run: string; lap: number }[] = [];
  found.laps.forEach((index, i) => {
    const last = parts.at(-1);
    if (last && i > 0 && found.laps[i - 1] === index) last.toM = whole(joints[i + 1]!);
    else parts.push({ fromM: whole(joints[i]!), toM: whole(joints[i + 1]!), ...name(index) });
  });
  return {
    timeS: whole(found.timeS),
    bestS: whole(found.best.timeS),
    best: name(found.best.lap),
    sumOfBestsS: whole(found.sumOfBestsS),
    laps: laps.length,
    parts,
  };
}

/** Where sections meet: the gate, and where the phases of the corners begin, if far enough from the one before. */
function jointsOf(corners: readonly MapCorner[], lengthM: number): number[] {
  const places = corners
    .flatMap(({ a, b, r, p }) => [a, b, r, p])
    .map((s) => ((s % lengthM) + lengthM) % lengthM)
    .sort((x, y) => x - y);
  const joints = [0];
  for (const s of places) if (s - joints.at(-1)! >= APART_M && lengthM - s >= APART_M) joints.push(s);
  return [...joints, lengthM];
}

function sectionsOf(lap: LapResult, curves: LapCurves | undefined, joints: readonly number[]): SectionedLap | null {
  if (!curves || lap.timeS === null) return null;
  const lengthM = joints.at(-1)!;
  const at = (values: readonly (number | null)[], s: number): number => {
    const place = s / curves.stepM;
    const i = Math.min(Math.floor(place), values.length - 1);
    const [a, b] = [values[i], values[Math.min(i + 1, values.length - 1)]];
    return typeof a === 'number' && typeof b === 'number' ? a + (b - a) * (place - i) : Number.NaN;
  };
  const timeAt = (s: number): number => (s === 0 ? 0 : s === lengthM ? lap.timeS! : at(curves.timeS, s));
  const times = joints.map(timeAt);
  // Speed and place at the end of the lap are those of the last station before it.
  const reach = Math.min(lengthM, (curves.speedMps.length - 1) * curves.stepM);
  const state = (values: readonly (number | null)[]): number[] => joints.map((s) => at(values, Math.min(s, reach)));
  return {
    sectionsS: times.slice(1).map((time, i) => time - times[i]!),
    speedsMps: state(curves.speedMps),
    offsetsM: state(curves.offsetM),
  };
}
