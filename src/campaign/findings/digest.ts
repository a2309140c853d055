import { GROUPS, type GroupKey } from '../../causes/cause.ts';
import type { LapCauses } from '../../causes/schema.ts';
import type { SessionResult } from '../results.ts';

type Phase = SessionResult['runs'][number]['laps'][number]['ledger'][number]['phase'];

export const PHASES: readonly Phase[] = ['braking', 'apex', 'drive'];
/** Key of the whole lap among the parts of one. */
export const LAP = 'lap';
export const cornerKey = (corner: string): string => `corner ${corner}`;
export const phaseKey = (phase: Phase): string => `phase ${phase}`;
export const groupKey = (group: GroupKey): string => `cause ${group}`;
export const causeKey = (corner: string, group: GroupKey): string => `cause ${group} of ${corner}`;
export const partKey = (corner: string, phase: Phase): string => `${phase} of ${corner}`;

/** A counted lap: gap and doubt by part of the lap, s. */
export interface DigestLap {
  readonly timeS: number;
  readonly gapS: Readonly<Record<string, number>>;
  readonly sigmaS: Readonly<Record<string, number>>;
}

export interface DigestRun {
  readonly file: string;
  readonly configuration: Readonly<Record<string, string>>;
  readonly configurationHash: string;
  /** Counted laps that compare, ridden by the rider of the session, in the order they were ridden. */
  readonly laps: readonly DigestLap[];
}

/** What the findings of a campaign need of a session: small, as all sessions are held at once. */
export interface Digest
  extends Pick<SessionResult, 'session' | 'date' | 'stage' | 'circuit' | 'controller' | 'conditions' | 'reference'> {
  readonly robot: boolean;
  /** Among all sessions of the campaign, by date and name. */
  readonly place: number;
  readonly runs: readonly DigestRun[];
}

/** Takes from a session what the findings need. */
export function digestOf(result: SessionResult, place: number): Digest {
  const { session, date, stage, circuit, controller, conditions, reference, rider } = result;
  return {
    session,
    date,
    stage,
    circuit,
    controller,
    conditions,
    reference,
    robot: rider.kind === 'robot',
    place,
    runs: result.runs
      .filter((run) => run.rider === rider.key)
      .map(({ file, configuration, configurationHash, laps }) => ({
        file,
        configuration,
        configurationHash,
        laps: laps.flatMap((lap) =>
          lap.counted && lap.timeS !== null && lap.gapS !== null && lap.ledger.length > 0
            ? [digestLap(lap.timeS, partsOf(lap.ledger, lap.gapS, lap.sigmaS ?? 0), causesOf(lap.causes))]
            : [],
        ),
      })),
  };
}

const digestLap = (
  timeS: number,
  { gapS, sigmaS }: Pick<DigestLap, 'gapS' | 'sigmaS'>,
  causes: DigestLap['gapS'],
): DigestLap => ({ timeS, gapS: { ...gapS, ...causes }, sigmaS });

/**
 * The gap by group of causes, over the lap and in each corner, with what its speed costs later on. A group in which the
 * laps do not differ costs nothing; a lap that was not split has none.
 */
function causesOf(causes: LapCauses | null): Record<string, number> {
  if (!causes) return {};
  const gapS: Record<string, number> = {};
  for (const group of GROUPS) gapS[groupKey(group)] = causes.groups.find((g) => g.group === group)?.gapS ?? 0;
  for (const { corner, groups } of causes.windows)
    for (const group of GROUPS) {
      const key = causeKey(corner, group);
      gapS[key] = (gapS[key] ?? 0) + (groups.find((g) => g.group === group)?.madeS ?? 0);
    }
  return gapS;
}

function partsOf(
  ledger: SessionResult['runs'][number]['laps'][number]['ledger'],
  lapGapS: number,
  lapSigmaS: number,
): Pick<DigestLap, 'gapS' | 'sigmaS'> {
  const gapS: Record<string, number> = { [LAP]: lapGapS };
  const squares: Record<string, number> = {};
  for (const cell of ledger)
    for (const key of [cornerKey(cell.corner), phaseKey(cell.phase), partKey(cell.corner, cell.phase)]) {
      gapS[key] = (gapS[key] ?? 0) + cell.gapS;
      squares[key] = (squares[key] ?? 0) + cell.sigmaS ** 2;
    }
  const sigmaS = Object.fromEntries(Object.entries(squares).map(([key, square]) => [key, Math.sqrt(square)]));
  return { gapS, sigmaS: { ...sigmaS, [LAP]: lapSigmaS } };
}
