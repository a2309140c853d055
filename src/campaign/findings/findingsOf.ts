import { median } from '../../numbers/quantile.ts';
import { spread } from '../../statistics/spread.ts';
import { trend } from '../../statistics/trend.ts';
import type { CampaignResult } from '../results.ts';
import { bandOf } from './bandOf.ts';
import { comparisonsOf } from './comparisons.ts';
import { type Digest, LAP } from './digest.ts';
import { forecastOf } from './forecastOf.ts';
import { lossesOf } from './lossesOf.ts';
import { nextOf } from './nextOf.ts';
import { notProgress } from './progress.ts';
import type { CircuitFindings, Findings, SessionFindings } from './schema.ts';
import { lapsIn, medianOf, runsOf, weeksOf } from './sides.ts';
import { stepsOf } from './stepsOf.ts';
import { intervalFound, kept, whole } from './written.ts';

/**
 * Everything that needs more than one session: what is real, which version moved what, what to do next, what will be
 * reached. Needs a reference lap and a phase map; a circuit without them has nothing to say.
 *
 * @param digests all sessions, by date and name
 */
export function findingsOf(
  digests: readonly Digest[],
  { circuits, targets }: Pick<CampaignResult, 'circuits' | 'targets'>,
): Findings {
  const found = circuits.flatMap((circuit) => {
    const corners = circuit.corners.map(({ name }) => name);
    const here = digests.filter((d) => d.circuit === circuit.id);
    const robot = here.filter((d) => d.robot && lapsIn(d).length > 0);
    if (robot.length === 0 || corners.length === 0) return [];
    const reference = digests.find(({ session }) => session === circuit.reference?.session);
    const why = new Map(robot.map((d) => [d, notProgress(d, reference?.conditions ?? null)]));
    const progress = robot.filter((d) => why.get(d) === '');
    const steps = stepsOf(progress, corners);
    const sessions = robot.map((session): SessionFindings => {
      // Sessions of one stage and one surface are compared with each other.
      const like = robot.filter((d) => d.stage === session.stage && why.get(d) === why.get(session));
      const times = lapsIn(session).map(({ timeS }) => timeS);
      const learning = trend(
        times.map((_, i) => i),
        times,
      );
      return {
        session: session.session,
        progress: why.get(session) === '',
        why: why.get(session)!,
        learning: {
          n: learning.n,
          slopeS: kept(learning.slope),
          p: kept(learning.p),
          verdict: learning.verdict,
        },
        ...lossesOf(session, corners),
        against: comparisonsOf(session, like, corners),
        band: bandOf(session, reference, corners),
      };
    });
    const own: CircuitFindings = {
      circuit: circuit.id,
      progress: progress.map(({ session }) => session),
      spread: spreadOf(progress),
      trend: trendOf(progress),
      steps,
      stepSessions: progress.length,
      ...nextOf(
        progress,
        robot.filter(({ stage }) => stage === 'simulation'),
        corners,
      ),
      forecast: forecastOf(
        progress,
        targets,
        steps.filter(({ corner, known }) => corner === null && known),
        circuit.reference?.timeS ?? null,
      ),
    };
    return [{ sessions, own }];
  });
  const order = new Map(digests.map(({ session }, i) => [session, i]));
  return {
    sessions: found.flatMap(({ sessions }) => sessions).sort((a, b) => order.get(a.session)! - order.get(b.session)!),
    circuits: found.map(({ own }) => own),
  };
}

/** Whether the median gap falls from session to session, by ranks: one bad day does not decide. */
function trendOf(progress: readonly Digest[]): CircuitFindings['trend'] {
  const points = progress.flatMap((session) => {
    const gapS = medianOf(session, LAP);
    return gapS === null ? [] : [{ weeks: weeksOf(session.date), gapS }];
  });
  const found = trend(
    points.map(({ weeks }) => weeks),
    points.map(({ gapS }) => gapS),
  );
  return {
    sessions: found.n,
    perWeekS: kept(found.slope),
    interval: intervalFound(found.interval),
    p: kept(found.p),
    verdict: found.verdict,
  };
}

/** How laps, runs and days of one version scatter, for the plan of the next day. */
function spreadOf(progress: readonly Digest[]): CircuitFindings['spread'] {
  const versions = Map.groupBy(progress, ({ controller }) => controller);
  // Runs of one day under different configurations are no scatter.
  const sides = [...versions.values()].flatMap((sessions) => {
    const hashes = new Set(sessions.flatMap(({ runs }) => runs.map((run) => run.configurationHash)));
    return [...hashes].map((hash) => runsOf(sessions, LAP, (run) => run.configurationHash === hash));
  });
  const { lap, run, day } = spread(sides);
  const counts = progress.flatMap(({ runs }) => runs.map(({ laps }) => laps.length).filter((n) => n > 0));
  return {
    lapS: kept(lap),
    runS: kept(run),
    dayS: kept(day),
    lapsPerRun: counts.length === 0 ? null : whole(median(counts)),
  };
}
