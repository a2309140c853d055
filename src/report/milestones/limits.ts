import { quantity } from '../../units.ts';
import { doubtsOf, type ListedProblem } from '../problemList.ts';
import type { Results } from '../readResults.ts';
import { isoDate, listWords, number, plural, sentence } from '../words.ts';
import type { Verdict } from './verdict.ts';

/** Track temperatures further apart than this do not compare without a remark, K. */
const FAR_K = 10;

/** What the evidence cannot carry, in sentences, worked out from it. */
export function limitsOf(results: Results, list: readonly ListedProblem[], verdict: Verdict): string[] {
  const { laps, level, session, named } = verdict;
  const out: string[] = [];
  if (!named && laps.length > 0)
    out.push('Nobody named the evidence beforehand; the latest day on the track stands in for it.');
  if (level?.days === 1)
    out.push('These are laps of one day. How much the robot would differ on another is not in the uncertainty.');
  if (laps.length > 0 && laps.length < 5)
    out.push(`${sentence(plural(laps.length, 'lap'))} are few; another few would have another median.`);
  const left = verdict.places.flatMap(({ session: s, run }) =>
    results.laps(s).filter((of) => (!run || of.run === run) && of.lap.kind === 'flying' && !of.lap.counted),
  );
  if (left.length > 0)
    out.push(
      `${sentence(plural(left.length, 'flying lap'))} of the same runs ${left.length === 1 ? 'is' : 'are'} left out: ${listWords([...new Set(left.map((of) => of.lap.reasons[0]?.text ?? (of.lap.capped ? 'ridden under a cap' : 'not counted')))])}.`,
    );
  const timed = laps.filter((l) => l.timedBy === 'circuit').length;
  if (laps.length > 0 && timed < laps.length)
    out.push(
      timed === 0
        ? 'No lap was timed by anybody but the robot’s own log.'
        : `${sentence(plural(laps.length - timed, 'lap'))} of ${laps.length} were timed by the log alone.`,
    );
  const reference = session?.reference && results.session(session.reference.session);
  if (reference) {
    const [ours, theirs] = [session, reference].map((s) => quantity(s.conditions['track'] ?? '', 'Cel'));
    if (ours != null && theirs != null && Math.abs(ours - theirs) >= FAR_K)
      out.push(
        `The track was at ${number(ours)}\u202f°C, and at ${number(theirs)}\u202f°C on ${isoDate(reference.date)}, when the reference was ridden.`,
      );
  }
  const doubts = [...new Set(laps.map((l) => l.session.session))].flatMap((id) => doubtsOf(list, id));
  if (doubts.length > 0)
    out.push(
      `The input of these sessions is doubtful in ${plural(doubts.length, 'point')}, listed among the problems.`,
    );
  return out;
}
