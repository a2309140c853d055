import type { CircuitView, Milestone, SessionResult } from '../../campaign/results.ts';
import { median } from '../../numbers/quantile.ts';
import { type Conformity, conformity } from '../../statistics/conformity.ts';
import { studentQuantile } from '../../statistics/distributions.ts';
import { type Level, level } from '../../statistics/level.ts';
import type { RunValues } from '../../statistics/runs.ts';
import type { Place } from '../notes/place.ts';
import { placeText } from '../notes/place.ts';
import { latestSession } from '../now.ts';
import type { LapOf, Results } from '../readResults.ts';
import { plural } from '../words.ts';

/** A lap that counts for a milestone, with the time that is taken for it. */
export interface EvidenceLap extends LapOf {
  readonly timeS: number;
  readonly gapS: number;
  /** Who timed it: the circuit where it did and agrees with the log, else the log. */
  readonly timedBy: 'circuit' | 'log';
  /** The circuit timed it and differs from the log by more than the uncertainty of both. */
  readonly disputed: boolean;
}

/** A milestone held against the laps of its evidence. */
export interface Verdict {
  readonly milestone: Milestone;
  readonly places: readonly Place[];
  /** Whether a person named the evidence, or the latest day on the track up to the milestone stands in. */
  readonly named: boolean;
  readonly laps: readonly EvidenceLap[];
  readonly session: SessionResult | null;
  readonly circuit: CircuitView | null;
  readonly referenceS: number | null;
  /** Greatest gap that meets the target, s. */
  readonly limitS: number | null;
  readonly level: Level | null;
  /** Ends of the 90 % interval of the level, s. */
  readonly interval: { readonly low: number; readonly high: number } | null;
  readonly conformity: Conformity | null;
  /** Why there is no verdict; empty where there is one. */
  readonly why: string;
}

/** Holds a milestone against its evidence. Nothing is invented where something is missing: `why` says what. */
export function verdictOf(results: Results, milestone: Milestone): Verdict {
  const places = placesOf(results, milestone);
  const named = milestone.evidence.length > 0;
  const laps = places.flatMap((place) => lapsAt(results, place));
  const session = places.at(-1)?.session ?? null;
  const circuit = session ? (results.circuit(session.circuit) ?? null) : null;
  const referenceS = session?.reference?.timeS ?? null;
  const { target } = milestone;
  const limitS = target.gapS ?? (target.lapTimeS !== null && referenceS !== null ? target.lapTimeS - referenceS : null);
  const found = level(runsOf(laps), sigmaOf(laps));
  const why = whyNot({ milestone, places, laps, limitS, found });
  const judged = why === '' && found && limitS !== null ? conformity(found, limitS, milestone.risk) : null;
  const reach = found ? studentQuantile(0.95, found.df) * found.standardError : 0;
  return {
    milestone,
    places,
    named,
    laps,
    session,
    circuit,
    referenceS,
    limitS,
    level: found,
    interval: found && { low: found.value - reach, high: found.value + reach },
    conformity: judged,
    why,
  };
}

/** Places of the evidence that exist and may count; unknown ones stand among the problems. */
function placesOf(results: Results, { evidence, date }: Milestone): Place[] {
  const { sessions } = results;
  if (evidence.length === 0) {
    const session = latestSession(
      results,
      sessions.filter((s) => s.stage === 'track'),
      date,
    );
    return session ? [{ session, run: null, lap: null }] : [];
  }
  return evidence.flatMap(({ session: id, run: file, lap: number }): Place[] => {
    const session = sessions.find((s) => s.session === id);
    if (!session || session.date > date || session.rider.kind !== 'robot') return [];
    if (file === null) return [{ session, run: null, lap: null }];
    const run = session.runs.find((r) => r.file === file);
    if (!run) return [];
    if (number === null) return [{ session, run, lap: null }];
    const lap = run.laps.find((l) => l.lap === number);
    return lap ? [{ session, run, lap }] : [];
  });
}

function lapsAt(results: Results, { session, run, lap }: Place): EvidenceLap[] {
  if (session.stage !== 'track') return [];
  return results.laps(session).flatMap((of): EvidenceLap[] => {
    if (!of.speaks || (run && of.run !== run) || (lap && of.lap !== lap)) return [];
    const { timeS, gapS, officialS } = of.lap;
    if (timeS === null || gapS === null) return [];
    const disputed = of.run.problems.some((p) => p.code === 'OFFICIAL_TIMING' && p.place.lap === of.lap.lap);
    const byCircuit = officialS !== null && !disputed;
    const taken = byCircuit ? officialS : timeS;
    return [{ ...of, timeS: taken, gapS: gapS + (taken - timeS), timedBy: byCircuit ? 'circuit' : 'log', disputed }];
  });
}

function runsOf(laps: readonly EvidenceLap[]): RunValues[] {
  const runs = new Map<string, { session: string; day: string; order: number; values: number[] }>();
  for (const { session, run, gapS } of laps) {
    const key = `${session.session}/${run.file}`;
    const of = runs.get(key) ?? { session: session.session, day: session.date, order: runs.size, values: [] };
    of.values.push(gapS);
    runs.set(key, of);
  }
  return [...runs.values()];
}

/** What the laps share: the middle one of their own standard deviations, of which more laps take nothing away. */
function sigmaOf(laps: readonly EvidenceLap[]): number {
  const sigmas = laps.flatMap(({ lap }) => (lap.sigmaS === null ? [] : [lap.sigmaS]));
  return sigmas.length === 0 ? 0 : median(sigmas);
}

function whyNot({
  milestone,
  places,
  laps,
  limitS,
  found,
}: {
  milestone: Milestone;
  places: readonly Place[];
  laps: readonly EvidenceLap[];
  limitS: number | null;
  found: Level | null;
}): string {
  if (limitS === null)
    return milestone.target.name === null
      ? 'no reference lap to turn the target’s lap time into a gap'
      : `the campaign has no target “${milestone.target.name}”`;
  if (places.length === 0) return 'no session on the track up to its date compares with the reference';
  if (places.every(({ session }) => session.stage !== 'track'))
    return `only laps ridden on the circuit count, and ${places.map(placeText).join(', ')} was not`;
  if (new Set(places.map(({ session }) => session.circuit)).size > 1) return 'its evidence is of more than one circuit';
  if (!found)
    return `${plural(laps.length, 'lap')} of evidence ${laps.length === 1 ? 'is' : 'are'} too few: three at least`;
  return '';
}
