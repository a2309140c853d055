import type { AlignedLap } from '../align/alignLap.ts';
import { type FittedEnvelope, fitEnvelope } from '../causes/fitEnvelope.ts';
import { DRAWS, dragPerMOf, lapCauses, type MachineData } from '../causes/lapCauses.ts';
import { lengthAndSpeedOn } from '../causes/lengthAndSpeed.ts';
import type { LapCauses } from '../causes/schema.ts';
import type { MachineSetup } from '../read/sessionFile.ts';
import { STANDARD_AIR } from '../statistics/air.ts';
import type { CornerTechnique } from '../technique/technique.ts';
import type { Reference } from './reference.ts';
import type { LapResult, SessionResult } from './results.ts';

/** A lap that was compared with the reference, with the technique of both under the rules that both allow. */
export interface Compared {
  readonly lap: AlignedLap;
  readonly result: LapResult;
  readonly run: string;
  readonly machine: MachineSetup | null;
  readonly own: readonly CornerTechnique[];
  readonly other: readonly CornerTechnique[];
}

/** Seconds of causes are kept to this many places, numbers of findings to this many digits. */
const PLACES = 5;
const DIGITS = 5;

/** A zero has no sign in JSON. */
const rounded = (seconds: number): number => Number(seconds.toFixed(PLACES)) + 0;

/**
 * Gives every compared lap of a session the causes of its gap, those of its best and its median lap with intervals.
 *
 * The envelope is of the reference's laps and of this session's, so that a session's numbers do not depend on others.
 *
 * @returns the envelope; null where the laps show none
 */
export function giveCauses(
  session: string,
  compared: readonly Compared[],
  reference: Reference,
  summary: SessionResult['summary'],
): NonNullable<SessionResult['envelope']> | null {
  const { map } = reference;
  if (!map || compared.length === 0) return null;
  const among = (laps: readonly { run: string; lap: AlignedLap }[], run: string, lap: number): boolean =>
    session === reference.session && laps.some((other) => other.run === run && other.lap.lap.number === lap);
  const shown = compared.filter(
    ({ lap, result, run }) => result.valid && lap.timeS !== null && !among(reference.laps, run, result.lap),
  );
  const theirs = reference.runs.find(({ file }) => file === reference.run)?.setup.machine ?? null;
  const fitted = fitEnvelope(
    [...reference.laps.map(({ lap }) => lap), ...shown.map(({ lap }) => lap)],
    theirs ? dragPerMOf(inAir(theirs)) : undefined,
  );
  if (!fitted) return null;
  const named = (run: string, lap: number): boolean =>
    [summary?.bestLap, summary?.medianLap].some((name) => name?.run === run && name.lap === lap);
  for (const { lap, result, run, machine, own, other } of compared) {
    if (!result.valid || among([reference], run, result.lap)) continue;
    const draws = named(run, result.lap) ? DRAWS : 0;
    const causes = lapCauses(lap, reference.lap, map, own, other, fitted, {
      draws,
      machines: machine && theirs && { lap: inAir(machine), reference: inAir(theirs) },
    });
    result.causes = causes && kept(causes);
    for (const cell of result.ledger) {
      const way = lengthAndSpeedOn(lap, reference.lap, cell.fromM, cell.toM);
      if (way) cell.lengthS = rounded(way.lengthS);
    }
  }
  return shortEnvelope(fitted);
}

/** Differences of the air are an account of their own: drag is that of standard air for both. */
function inAir({ massKg, powerW, dragAreaM2 }: MachineSetup): MachineData {
  return { massKg, powerW, dragKgPerM: dragAreaM2 === null ? null : (STANDARD_AIR.densityKgpm3 / 2) * dragAreaM2 };
}

/** An envelope to a few digits: its doubt is per cents. */
const shortEnvelope = (fitted: FittedEnvelope): NonNullable<SessionResult['envelope']> =>
  JSON.parse(
    JSON.stringify(fitted, (_, value: unknown) =>
      typeof value === 'number' ? Number(value.toPrecision(DIGITS)) : value,
    ),
  ) as NonNullable<SessionResult['envelope']>;

/** Causes as results keep them: rounded, without what the laps do not differ in and what was not asked. */
function kept(causes: LapCauses): LapCauses {
  const differs = ({ gapS, madeS }: { gapS: number; madeS: number }): boolean => gapS !== 0 || madeS !== 0;
  const windows = causes.windows.map((window) => ({
    ...window,
    groups: window.groups.filter(differs),
    mixtureS: window.mixtureS.map(rounded),
    mixtureLaterS: window.mixtureLaterS.map(rounded),
    cancellation: window.cancellation === null ? null : Number(window.cancellation.toPrecision(DIGITS)),
    causes: window.causes.filter(differs).map((cause) => ({
      ...cause,
      fact: cause.fact && shortened(cause.fact),
    })),
  }));
  return JSON.parse(
    JSON.stringify({ ...causes, windows }, (key, value: unknown) => {
      // A null that stands in the place of a result is one; a bound that was not asked is left out.
      if (value === null && !['part', 'cancellation'].includes(key)) return undefined;
      return typeof value === 'number' && key.endsWith('S') ? rounded(value) : value;
    }),
  ) as LapCauses;
}

function shortened(numbers: Readonly<Record<string, number>>): Record<string, number> {
  return Object.fromEntries(Object.entries(numbers).map(([name, value]) => [name, Number(value.toPrecision(DIGITS))]));
}
