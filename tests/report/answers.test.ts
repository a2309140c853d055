import { describe, expect, test } from 'vitest';
import { answers } from '../../src/report/answers.ts';
import type { Results } from '../../src/report/readResults.ts';
import { even, made } from './made.ts';

// Expected words and numbers are worked out by hand from the made campaign: laps of 1.2 km, a reference of 60 s.
const laps = (...gaps: number[]) => gaps.map((gapS) => ({ gaps: even(gapS) }));
const campaign = (): Results =>
  made({
    sessions: [
      { name: '2026-01-08-track', date: '2026-01-08', laps: laps(3, 3.1, 3.2) },
      { name: '2026-02-08-track', date: '2026-02-08', laps: laps(2, 2.1, 2.2) },
    ],
    targets: [
      { name: 'past', due: '2026-01-31', gapS: 5, lapTimeS: null },
      { name: 'two', due: '2026-04-30', gapS: null, lapTimeS: 61.9 },
      { name: 'far', due: '2026-12-31', gapS: 1, lapTimeS: null },
    ],
  });
const said = (results: Results): Map<string, string> => {
  const now = results.sessions.at(-1)!;
  const rows = answers(results, now, results.circuit(now.circuit)!);
  return new Map(rows.map(([question, pieces]) => [question, pieces.map(({ text }) => text).join('')]));
};

describe('the questions of the front page', () => {
  test('the next target is the first that is not past, and what remains to it is counted from the median', () => {
    expect(said(campaign()).get('Next milestone')).toMatch(
      /^“two” is due on 2026-04-30\. 0\.20\u202fs remain to it\. /,
    );
  });

  test('a change from one day to another says how far it is known to be real', () => {
    expect(said(campaign()).get('What changed')).toMatch(/^The median is 1\.00\u202fs less than in 2026-01-08-track: /);
  });

  test('a median that did not move is the same', () => {
    const same = made({
      sessions: [
        { name: '2026-01-08-track', date: '2026-01-08', laps: laps(2, 2.1, 2.2) },
        { name: '2026-02-08-track', date: '2026-02-08', laps: laps(2, 2.1, 2.2) },
      ],
    });
    expect(said(same).get('What changed')).toMatch(/^The median is the same as in 2026-01-08-track: /);
    expect(said(same).get('Next milestone')).toBe('No target has a date that is still to come.');
  });

  test('plan and execution are those of the median lap', () => {
    const results = campaign();
    expect(said(results).get('Plan or execution')).toContain('no plan');
    const { lap } = results.lap(results.sessions.at(-1)!.summary!.medianLap)!;
    Object.assign(lap, { planS: 0.4, executionS: 1.6 });
    expect(said(results).get('Plan or execution')).toBe(
      'More its execution. The median lap, ridden as planned, would be 0.40\u202fs behind; in execution 1.60\u202fs lost against the plan.',
    );
  });

  test('interventions are counted over all that was ridden on the circuit', () => {
    const results = campaign();
    // Six laps are 7.2 km; one intervention there is 13.9 in 100 km.
    const [run] = results.sessions.at(-1)!.runs;
    run!.incidents.push({ timeS: 30, kind: 'intervention', severity: null, closed: false });
    const words = said(results).get('Safety and trust')!;
    expect(words).toMatch(/^13\.9 interventions per 100\u202fkm .*; 1 in 7\u202fkm\)\. 1 incident is open\. /);
    expect(words).toMatch(/No problem of the input is open\.$/);
  });
});
