import type { CampaignResult, LapResult, RunResult, SessionResult } from '../campaign/results.ts';

type Asked = (session: SessionResult, run: RunResult, lap: LapResult) => boolean;

/**
 * Which laps have a page of their own: all of them in a campaign that goes on; in an edition those that its milestone
 * stands on, and the reference lap.
 */
export function hasPage({ edition, milestones }: CampaignResult, sessions: readonly SessionResult[]): Asked {
  const milestone = milestones.find(({ id }) => id === edition?.milestone);
  if (!edition || edition.lapPages === 'all' || !milestone || milestone.evidence.length === 0) return () => true;
  const inEvidence: Asked = (session, run, lap) =>
    milestone.evidence.some(
      (place) =>
        place.session === session.session &&
        (place.run === null || place.run === run.file) &&
        (place.lap === null || place.lap === lap.lap),
    );
  const name = (session: string, run: string, lap: number): string => JSON.stringify([session, run, lap]);
  const chosen = new Set(
    sessions.flatMap(({ reference }) => (reference ? [name(reference.session, reference.run, reference.lap)] : [])),
  );
  if (edition.lapPages === 'best') {
    const counted = sessions
      .flatMap((session) =>
        session.runs.flatMap((run) =>
          run.laps.flatMap((lap) =>
            lap.counted && lap.timeS !== null && inEvidence(session, run, lap)
              ? [{ name: name(session.session, run.file, lap.lap), timeS: lap.timeS }]
              : [],
          ),
        ),
      )
      .toSorted((a, b) => a.timeS - b.timeS);
    // The best one and, of an even number the faster of the two in the middle, the median one.
    for (const lap of [counted[0], counted[(counted.length - 1) >> 1]]) if (lap) chosen.add(lap.name);
  }
  return (session, run, lap) =>
    chosen.has(name(session.session, run.file, lap.lap)) ||
    (edition.lapPages === 'evidence' && inEvidence(session, run, lap));
}
