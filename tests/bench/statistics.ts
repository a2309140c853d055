/**
 * `npm run bench -- statistics`: whether intervals, verdicts, steps, forecasts and ranks keep what they state, in worlds
 * whose truth is known. The same numbers each time; about two minutes.
 */
import {
  COURSES,
  campaignAlarms,
  fallingRegret,
  forecastScore,
  LAPS,
  MIXED,
  medianCoverage,
  NULLS,
  rankRegret,
  realAlarms,
  stepAlarms,
  stepPower,
  turnsAlarms,
} from '../statistics/simulations.ts';

const say = (text = ''): void => void process.stdout.write(`${text}\n`);
const percent = (share: number): string => `${(100 * share).toFixed(1).padStart(6)} %`;
const row = (name: string, ...cells: string[]): void => say(`  ${name.padEnd(46)}${cells.join('  ')}`);

say('interval for the median lap: stated, held');
for (const kind of Object.keys(LAPS))
  for (const laps of [3, 5, 8, 12, 20]) {
    const { stated, held } = medianCoverage(kind, laps, laps < 12 ? 20_000 : 1000);
    row(`${kind}, ${laps} laps`, percent(stated), percent(held));
  }

say('\nsteps found where there is none, nominal 5 %, day effects of 0.10 s, 2,000 campaigns each');
for (const sessions of [8, 12, 20])
  for (const kind of Object.keys(NULLS))
    row(`${kind}, ${sessions} sessions`, percent(stepAlarms(kind, sessions, sessions === 12 ? 2000 : 1000)));
for (const kind of ['flat', 'learning'])
  row(`${kind}, 12 sessions, at 3 new versions`, percent(stepAlarms(kind, 12, 2000, [3, 6, 9])));
row('a campaign in all its parts, 300 of them', percent(campaignAlarms(300)));
say('steps found at their version, of twelve sessions');
for (const sizeS of [0.3, 0.5, 0.8]) row(`${sizeS} s`, percent(stepPower(sizeS, 500)));

say('\n"real" between equal sides, nominal 5 %, day effects of 0.10 s, 4,000 each');
for (const kind of Object.keys(LAPS))
  for (const [a, b] of [
    [2, 2],
    [2, 4],
    [4, 4],
  ])
    row(
      `${kind}, ${a} days against ${b}`,
      percent(realAlarms({ days: a!, laps: 6 }, { days: b!, laps: 6 }, 4000, kind).real),
    );
const uneven = realAlarms({ days: 3, laps: 3 }, { days: 3, laps: 12 }, 4000);
row('3 days of 3 laps against 3 of 12', percent(uneven.real));
const single = realAlarms({ days: 1, laps: 11 }, { days: 1, laps: 9 }, 4000);
row(
  'one day of 11 laps against one of 9',
  percent(single.real),
  `within these sessions only ${percent(single.within)}`,
);
say('versions that take turns in a day with a drift of 0.5 s, runs of 3 laps: called real');
for (const order of ['ABBA', 'ABBABAAB', 'ABBABAABABBA'])
  row(order, ...[0, 0.3, 0.6].map((s) => `${s} s apart ${percent(turnsAlarms([...order], s, 2000))}`));

say('\nforecast one to six weeks ahead: 80 % intervals held, interval score, that of the last value');
const scores = Object.keys(COURSES).flatMap((course) =>
  [6, 9, 14].map((weeks) => ({ course, weeks, ...forecastScore(course, weeks, 120) })),
);
const scoreRow = (name: string, list: readonly (typeof scores)[number][]): void => {
  const average = (of: (s: (typeof scores)[number]) => number): number =>
    list.reduce((sum, s) => sum + of(s), 0) / list.length;
  const seconds = [average((s) => s.score), average((s) => s.persistenceScore)].map((v) => `${v.toFixed(2)} s`);
  row(name, percent(average((s) => s.held)), ...seconds);
};
for (const score of scores) scoreRow(`${score.course}, ${score.weeks} weeks of data`, [score]);
for (const course of Object.keys(COURSES))
  scoreRow(
    `${course}, all`,
    scores.filter((s) => s.course === course),
  );
scoreRow(
  'courses of the families that are mixed',
  scores.filter(({ course }) => MIXED.includes(course)),
);
scoreRow(
  'other courses',
  scores.filter(({ course }) => !MIXED.includes(course)),
);

say('\nregret of choosing four of eighteen losses: rank, last session');
for (const [driftS, dayS] of [
  [0, 0.1],
  [0.03, 0.1],
  [0.06, 0.1],
  [0.03, 0.2],
]) {
  const { rankS, lastS } = rankRegret(driftS!, dayS!, 60);
  row(`drift ${driftS} s, day ${dayS} s`, `${rankS.toFixed(3)} s`, `${lastS.toFixed(3)} s`);
}
for (const dayS of [0.02, 0.05, 0.1]) {
  const { rankS, lastS } = fallingRegret(dayS, 60);
  row(`losses that fall by shares, day ${dayS} s`, `${rankS.toFixed(3)} s`, `${lastS.toFixed(3)} s`);
}
