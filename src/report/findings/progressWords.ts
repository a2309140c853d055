import type { CircuitFindings, TrendFound } from '../../campaign/findings/schema.ts';
import { cornersWords } from '../losses.ts';
import { progressPath, testDayPath } from '../paths.ts';
import type { Results } from '../readResults.ts';
import type { Piece } from '../report.ts';
import { number, percent, plural, seconds, sentence } from '../words.ts';
import { distinct, foundOf, foundOn } from './found.ts';
import { chanceWords } from './nextTable.ts';
import { stepWords } from './stepWords.ts';
import { againstWords, changeWords, confounderWords, verdictWords } from './verdictWords.ts';

/** Whether the gap falls from session to session. */
export function trendWords({ sessions, perWeekS, interval, verdict }: TrendFound): string {
  if (verdict === 'too few' || perWeekS === null)
    return sessions > 1 ? `Over ${plural(sessions, 'session')} on the track no trend can be told yet.` : '';
  const between = interval
    ? ` (${percent(interval.level)} interval ${number(Math.abs(interval.highS), 2)} to ${number(Math.abs(interval.lowS), 2)}\u202fs)`
    : '';
  if (verdict === 'cannot tell')
    return `Over ${plural(sessions, 'session')} on the track it neither falls nor rises, as far as they can tell.`;
  return `Over ${plural(sessions, 'session')} on the track it ${verdict}, and that is real: ${seconds(Math.abs(perWeekS), null, 2)} a week${verdict === 'falls' ? between : ''}.`;
}

/** The chance of the next target, in a sentence; why there is none where there is none. */
export function chanceSentence({ forecast }: CircuitFindings): string {
  if (!forecast.made)
    return forecast.sessions > 0
      ? `No forecast: ${plural(forecast.effectiveWeeks, 'week')} with a session on the track, and five are needed.`
      : '';
  const [next] = forecast.made.targets;
  return next
    ? `“${next.name}” by ${next.due} has a probability of ${chanceWords(next.probability)}: ${seconds(next.medianS, null, 1)} foretold for that day, 80\u202f% between ${number(next.lowS, 1)} and ${number(next.highS, 1)}.`
    : '';
}

/** What the front page says of progress: against the session before and the best known, steps, the way on. */
export function progressSentences(results: Results, circuit: string): Piece[][] {
  const found = foundOn(results, circuit);
  const last = found && foundOf(results, found.progress.at(-1) ?? '');
  if (!found || !last) return [];
  const out: Piece[][] = [];
  for (const against of distinct(last.against)) {
    const told = against.corners.filter((c) => c.verdict === 'real' || c.verdict === 'within these sessions only');
    const fell = told.filter((c) => (c.changeS ?? 0) < 0).map(({ corner }) => corner);
    const rose = told.filter((c) => (c.changeS ?? 0) > 0).map(({ corner }) => corner);
    const parts = [
      ...(fell.length > 0 ? [`less is lost in ${cornersWords(fell)}`] : []),
      ...(rose.length > 0 ? [`more in ${cornersWords(rose)}`] : []),
    ];
    const others = confounderWords(against.confounders);
    out.push([
      {
        text: `${againstWords(against)} the median is ${changeWords(against.lap.changeS)}: ${verdictWords(against.lap)}.${
          against.lap.verdict === 'too few'
            ? ''
            : parts.length > 0
              ? ` ${sentence(parts.join(', '))}.`
              : ' No single corner stands out of the noise.'
        }${others ? ` Not ruled out: ${others}.` : ''}`,
      },
    ]);
  }
  if (last.against.length === 0)
    out.push([{ text: 'There is one session on the track so far, and nothing to compare it with.' }]);
  for (const step of found.steps.slice(0, 3)) out.push([{ text: stepWords(step) }]);
  out.push([
    { text: 'Version by version, steps, forecast and its record: ' },
    { text: 'progress', href: progressPath },
    { text: '. How many laps the next day needs: ' },
    { text: 'a plan for the test day', href: testDayPath },
    { text: '.' },
  ]);
  return out;
}
