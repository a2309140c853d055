import { standardDeviation } from '../../numbers/moments.ts';
import { medianVariance } from '../../statistics/dayPlan.ts';
import { seedOf } from '../../statistics/random.ts';
import { rankRecord } from '../../statistics/rankRecord.ts';
import { type Transfer, transfer } from '../../statistics/transfer.ts';
import { type Candidate, whatNext } from '../../statistics/whatNext.ts';
import { causeKey, cornerKey, type Digest, PHASES, partKey } from './digest.ts';
import type { CircuitFindings } from './schema.ts';
import { groupsIn, lapsIn, medianOf } from './sides.ts';
import { kept, whole } from './written.ts';

/** How many largest losses the list asks about. */
const WORST = 5;

/**
 * What to work on next: the loss of each corner by phase, and by group of causes, as all sessions together tell it, and how
 * well such a list would have foretold what came.
 *
 * @param progress sessions that speak for the robot on the track
 * @param simulated sessions in simulation; both by date
 */
export function nextOf(
  progress: readonly Digest[],
  simulated: readonly Digest[],
  corners: readonly string[],
): Pick<CircuitFindings, 'next' | 'nextByCause' | 'worst' | 'rankRecord' | 'rankRecordByCause' | 'transfer'> {
  const arrived = transferOf(progress, simulated, corners);
  const ranked = <Part extends { readonly key: string }>(parts: readonly Part[]) =>
    rankedOf(progress, simulated.at(-1), arrived, parts);
  const byPhase = ranked(
    corners.flatMap((corner) => PHASES.map((phase) => ({ corner, phase, key: partKey(corner, phase) }))),
  );
  // What is left over cannot be worked on.
  const groups = groupsIn(progress).filter((group) => group !== 'residual');
  const byCause = ranked(
    corners.flatMap((corner) => groups.map((group) => ({ corner, group, key: causeKey(corner, group) }))),
  );
  return {
    next: byPhase.list,
    nextByCause: byCause.list,
    worst: WORST,
    rankRecord: byPhase.record,
    rankRecordByCause: byCause.record,
    transfer: arrived && {
      changes: arrived.changes,
      arrived: arrived.arrived,
      medianShare: whole(arrived.medianShare),
      share: whole(arrived.share),
      sd: whole(arrived.sd),
    },
  };
}

/** The parts of a lap by what would be won in them, largest first, and the record of such a list. */
function rankedOf<Part extends { readonly key: string }>(
  progress: readonly Digest[],
  model: Digest | undefined,
  arrived: Transfer | null,
  parts: readonly Part[],
) {
  const candidates = parts.map(({ key }): Candidate => {
    // Only what the simulation loses as well can be worked on there.
    const there = model ? medianOf(model, key) : null;
    const shared = arrived && there !== null && there > 0;
    return {
      key,
      history: progress.map((session) => medianOf(session, key)),
      errors: errorsOf(progress, key),
      transfer: shared ? { share: Math.min(Math.max(arrived.share, 0), 1), sd: arrived.sd } : null,
    };
  });
  const seed = seedOf(...candidates.map(({ history }) => history.map((v) => v ?? Number.NaN)));
  const list = progress.length < 2 ? [] : whatNext(candidates, WORST, seed);
  const record = rankRecord(candidates, WORST);
  return {
    list: list.map(({ key, lastS, remainingS, sd, real, amongWorst, expectedS, transferKnown }) => {
      const { key: _, ...place } = parts.find((part) => part.key === key)!;
      return {
        ...place,
        lastS: kept(lastS),
        remainingS: whole(remainingS),
        sdS: whole(sd),
        real: whole(real),
        amongWorst: whole(amongWorst),
        expectedS: whole(expectedS),
        transferKnown,
      };
    }),
    record: {
      sessions: record.sessions,
      regretS: kept(record.regretS),
      lastLossRegretS: kept(record.lastLossRegretS),
    },
  };
}

/** Least standard error of a median, s: laps of a model that repeat to the millisecond are no proof of so much. */
const LEAST_ERROR_S = 0.002;

/** Standard error of the median of each session, from how laps scatter in all of them. */
function errorsOf(progress: readonly Digest[], key: string): (number | null)[] {
  const samples = progress.map((session) =>
    lapsIn(session).flatMap(({ gapS }) => (gapS[key] === undefined ? [] : [gapS[key]])),
  );
  const df = samples.reduce((s, { length }) => s + Math.max(0, length - 1), 0);
  const squares = samples.reduce(
    (s, values) => s + (values.length > 1 ? (values.length - 1) * standardDeviation(values) ** 2 : 0),
    0,
  );
  const sd = Math.sqrt(squares / df);
  return samples.map(({ length }) =>
    length === 0 || df === 0 ? null : Math.max(LEAST_ERROR_S, sd * Math.sqrt(medianVariance(length))),
  );
}

/**
 * Changes of each corner from one session in simulation to the next, beside those from the first session on the track
 * after the one to the first after the other.
 */
function transferOf(
  progress: readonly Digest[],
  simulated: readonly Digest[],
  corners: readonly string[],
): Transfer | null {
  const after = ({ place }: Digest): Digest | undefined => progress.find((session) => session.place > place);
  const arrivals = simulated.slice(1).flatMap((now, i) => {
    const before = simulated[i]!;
    const [from, to] = [after(before), after(now)];
    if (!from || !to || from === to) return [];
    return corners.flatMap((corner) => {
      const key = cornerKey(corner);
      const [a, b, c, d] = [before, now, from, to].map((session) => medianOf(session, key));
      return a === null || b === null || c === null || d === null ? [] : [{ simulatedS: a! - b!, trackS: c! - d! }];
    });
  });
  return transfer(arrivals);
}
