import { countInterval } from '../../statistics/countInterval.ts';
import type { Results } from '../readResults.ts';

/** How often somebody had to take over on the circuit. */
export interface Interventions {
  readonly count: number;
  readonly distanceM: number;
  /** Per 100 km, with its 90 % interval. */
  readonly rate: number;
  readonly low: number;
  readonly high: number;
  /** Incidents of any kind that are not closed. */
  readonly open: number;
}

/**
 * Interventions over what the robot rode on the circuit, laps that do not count among it.
 *
 * @param after,until days, the first left out, the last taken in
 * @returns null where nothing was ridden
 */
export function interventions({ sessions }: Results, after: string, until: string): Interventions | null {
  const runs = sessions
    .filter((s) => s.stage === 'track' && s.rider.kind === 'robot' && s.date > after && s.date <= until)
    .flatMap((s) => s.runs.filter((run) => run.rider === s.rider.key));
  const distanceM = runs.flatMap((run) => run.laps).reduce((sum, lap) => sum + lap.coveredM, 0);
  if (!(distanceM > 0)) return null;
  const incidents = runs.flatMap((run) => run.incidents);
  const count = incidents.filter((i) => i.kind === 'intervention').length;
  const per = 100_000 / distanceM;
  const { low, high } = countInterval(count);
  return {
    count,
    distanceM,
    rate: count * per,
    low: low * per,
    high: high * per,
    open: incidents.filter((i) => !i.closed).length,
  };
}
