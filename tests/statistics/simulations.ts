import { compare } from '../../src/statistics/compare.ts';
import { forecast, intervalScore, persistence } from '../../src/statistics/forecast.ts';
import { medianInterval } from '../../src/statistics/medianInterval.ts';
import { type Random, randomFrom, seedOf } from '../../src/statistics/random.ts';
import { rankRecord } from '../../src/statistics/rankRecord.ts';
import type { RunValues } from '../../src/statistics/runs.ts';
import { steps } from '../../src/statistics/steps.ts';
import { versionSteps } from '../../src/statistics/versionSteps.ts';

// Worlds whose truth is known, and how the statistics fare in them. The tests run a few repetitions, the bench many.

/** Laps of one day: even scatter, or late ones now and then. Medians by the closed forms of the distributions. */
export const LAPS: Readonly<Record<string, { draw: (random: Random) => number; median: number }>> = {
  normal: { draw: (random) => 100 + 0.25 * random.normal(), median: 100 },
  skewed: { draw: (random) => 100 + 0.3 * Math.exp(0.8 * random.normal()), median: 100.3 },
};

/** Share of intervals for the median that hold it, beside the level that they state. */
export function medianCoverage(kind: string, laps: number, runs: number): { stated: number; held: number } {
  const { draw, median } = LAPS[kind]!;
  const random = randomFrom(seedOf(kind, laps));
  let held = 0;
  let stated = 0;
  for (let run = 0; run < runs; run++) {
    const { interval } = medianInterval(
      Array.from({ length: laps }, () => draw(random)),
      run,
    );
    stated = interval!.level;
    if (interval!.low <= median && median <= interval!.high) held++;
  }
  return { stated, held: held / runs };
}

const DAY_S = 0.1;
const LAP_S = 0.25;

/** Gap of campaigns without any step: level, or smooth learning. */
export const NULLS: Readonly<Record<string, (weeks: number) => number>> = {
  flat: () => 2,
  learning: (weeks) => 1 + 4 * Math.exp(-weeks / 4),
  'slow learning': (weeks) => 1 + 4 * Math.exp(-weeks / 15),
  'power learning': (weeks) => 0.5 + 4 * (weeks + 1) ** -0.6,
};

/** Median gap of a day with five laps: its own day effect, and what five laps leave of the scatter (0.287 = 0.536²). */
const dayGap = (level: number, random: Random): number =>
  level + DAY_S * random.normal() + 0.536 * LAP_S * random.normal();

/** Share of campaigns in which a step is found though there is none. */
export function stepAlarms(kind: string, sessions: number, runs: number, versions?: readonly number[]): number {
  const random = randomFrom(seedOf(kind, sessions, versions ?? 'all'));
  const weeks = Array.from({ length: sessions }, (_, week) => week);
  let alarms = 0;
  for (let run = 0; run < runs; run++) {
    const values = weeks.map((week) => dayGap(NULLS[kind]!(week), random));
    if (steps(weeks, values, run, versions ? { candidates: versions } : {}).length > 0) alarms++;
  }
  return alarms / runs;
}

/**
 * Share of campaigns without a step in which any is found at a new version, where the lap, its corners, phases, groups of
 * causes and causes in corners are all looked at: twelve corners of four causes that learn each for itself.
 */
export function campaignAlarms(runs: number): number {
  const random = randomFrom(seedOf('campaigns', runs));
  const corners = Array.from({ length: 12 }, (_, corner) => corner);
  const causes = [0, 1, 2, 3];
  const families = [
    ['lap'],
    corners.map((corner) => `corner ${corner}`),
    corners.flatMap((corner) => causes.slice(0, 3).map((phase) => `phase ${corner} ${phase}`)),
    causes.map((cause) => `cause ${cause}`),
    corners.flatMap((corner) => causes.map((cause) => `cause ${corner} ${cause}`)),
  ];
  let alarms = 0;
  for (let run = 0; run < runs; run++) {
    const start = corners.map(() => causes.map(() => 0.3 * Math.abs(random.normal())));
    const sessions = Array.from({ length: 12 }, (_, week) => {
      const day = (DAY_S * random.normal()) / (12 * 4);
      const values: Record<string, number> = {};
      const add = (key: string, valueS: number): void => void (values[key] = (values[key] ?? 0) + valueS);
      for (const corner of corners)
        for (const cause of causes) {
          const lossS = start[corner]![cause]! * Math.exp(-week / 6) + day + 0.03 * random.normal();
          for (const key of ['lap', `corner ${corner}`, `phase ${corner} ${Math.min(cause, 2)}`, `cause ${cause}`])
            add(key, lossS);
          add(`cause ${corner} ${cause}`, lossS);
        }
      return {
        session: `s${week}`,
        weeks: week,
        version: `0.${Math.floor(week / 3)}`,
        conditions: { stage: 'track' },
        values,
      };
    });
    if (versionSteps(sessions, families).some(({ version }) => version !== null)) alarms++;
  }
  return alarms / runs;
}

/** Share of campaigns in which a step of a size is found at its place, among twelve sessions of a learning robot. */
export function stepPower(sizeS: number, runs: number): number {
  const random = randomFrom(seedOf('power', sizeS));
  const weeks = Array.from({ length: 12 }, (_, week) => week);
  let found = 0;
  for (let run = 0; run < runs; run++) {
    const values = weeks.map((week) => dayGap(NULLS['slow learning']!(week) - (week >= 6 ? sizeS : 0), random));
    if (steps(weeks, values, run, { candidates: [3, 6, 9] }).some(({ at }) => at === 6)) found++;
  }
  return found / runs;
}

interface Day {
  readonly days: number;
  readonly laps: number;
}

/** Share of comparisons between days that call equal sides different. */
export function realAlarms(before: Day, after: Day, runs: number, kind = 'normal'): { real: number; within: number } {
  const random = randomFrom(seedOf('real', kind, before.days, before.laps, after.days, after.laps));
  const side = (name: string, { days, laps }: Day): RunValues[] =>
    Array.from({ length: days }, (_, day) => {
      const effect = DAY_S * random.normal();
      const values = Array.from({ length: laps }, () => LAPS[kind]!.draw(random) + effect);
      return { session: `${name}${day}`, day: `${name}${day}`, order: 0, values };
    });
  let real = 0;
  let within = 0;
  for (let run = 0; run < runs; run++) {
    const { verdict } = compare(side('a', before), side('b', after));
    if (verdict === 'real') real++;
    if (verdict === 'within these sessions only') within++;
  }
  return { real: real / runs, within: within / runs };
}

/** Share of days on which versions that take turns are called different, with a drift of half a second over the day. */
export function turnsAlarms(order: readonly string[], differenceS: number, runs: number): number {
  const random = randomFrom(seedOf(order.join(''), differenceS));
  let real = 0;
  for (let run = 0; run < runs; run++) {
    const ridden = order.map((version, place): RunValues & { version: string } => {
      const effect = 0.05 * random.normal() + (0.5 * place) / (order.length - 1) + (version === 'B' ? differenceS : 0);
      const values = Array.from({ length: 3 }, () => LAPS['normal']!.draw(random) + effect);
      return { version, session: 's', day: '2026-05-01', order: place, values };
    });
    const of = (version: string) => ridden.filter((r) => r.version === version);
    if (compare(of('A'), of('B')).verdict === 'real') real++;
  }
  return real / runs;
}

/** Those of the courses that are of the families that the forecast mixes. */
export const MIXED: readonly string[] = ['exponential', 'power', 'line', 'level'];

/** Courses that a campaign may take. */
export const COURSES: Readonly<Record<string, (random: Random) => (weeks: number) => number>> = {
  exponential: (random) => {
    const [level, height, tau] = [0.5 + 1.5 * random.uniform(), 2 + 3 * random.uniform(), 2 + 6 * random.uniform()];
    return (weeks) => level + height * Math.exp(-weeks / tau);
  },
  power: (random) => {
    const [level, height, exponent] = [random.uniform(), 3 + 3 * random.uniform(), 0.3 + 0.7 * random.uniform()];
    return (weeks) => level + height * (weeks + 1) ** -exponent;
  },
  line: (random) => {
    const [start, fall] = [4 + 2 * random.uniform(), 0.15 + 0.25 * random.uniform()];
    return (weeks) => Math.max(0.5, start - fall * weeks);
  },
  level: (random) => {
    const level = 1 + 3 * random.uniform();
    return () => level;
  },
  'S-shaped': (random) => {
    const [level, height, middle, width] = [
      0.5 + random.uniform(),
      2 + 2 * random.uniform(),
      1 + 2.5 * random.uniform(),
      1 + 1.5 * random.uniform(),
    ];
    return (weeks) => level + height / (1 + Math.exp((weeks - middle) / width));
  },
  stairs: (random) => {
    const start = 4 + random.uniform();
    const falls = [0.5 + 0.5 * random.uniform(), 0.5 + 0.5 * random.uniform(), 0.2 + 0.4 * random.uniform()];
    const times = [2 + 3 * random.uniform(), 6 + 4 * random.uniform(), 12 + 4 * random.uniform()];
    return (weeks) => start - falls.reduce((sum, fall, i) => sum + (weeks >= times[i]! ? fall : 0), 0);
  },
  'random walk': (random) => {
    const values = [4];
    for (let week = 1; week < 40; week++) values.push(Math.max(0.3, values[week - 1]! - 0.08 + 0.2 * random.normal()));
    return (weeks) => values[Math.floor(weeks)]!;
  },
};

export interface ForecastScore {
  readonly held: number;
  readonly score: number;
  readonly persistenceScore: number;
}

/** How 80 % intervals fare one to six weeks ahead, after `weeks` weekly sessions. */
export function forecastScore(course: string, weeks: number, runs: number): ForecastScore {
  const random = randomFrom(seedOf(course, weeks));
  const ahead = [1, 2, 4, 6].map((lead) => weeks - 1 + lead);
  let [held, score, rival] = [0, 0, 0];
  for (let run = 0; run < runs; run++) {
    const truth = COURSES[course]!(random);
    const sd = 0.08 + 0.15 * random.uniform();
    const points = Array.from({ length: weeks }, (_, week) => ({
      weeks: week,
      gapS: truth(week) + sd * random.normal(),
    }));
    const { fan } = forecast(points, ahead)!;
    fan.forEach(({ weeks: week, interval }) => {
      const met = truth(week) + sd * random.normal();
      if (interval.low <= met && met <= interval.high) held++;
      score += intervalScore(interval, met);
      rival += intervalScore(persistence(points, week), met);
    });
  }
  const all = runs * ahead.length;
  return { held: held / all, score: score / all, persistenceScore: rival / all };
}

/** The same for losses that fall by shares of their own, some quickly, and whose laps are known beside their medians. */
export function fallingRegret(dayS: number, runs: number): { rankS: number; lastS: number } {
  const random = randomFrom(seedOf('falling', dayS));
  const lapS = 0.06;
  let [rankS, lastS] = [0, 0];
  for (let run = 0; run < runs; run++) {
    const candidates = Array.from({ length: 24 }, (_, part) => {
      let lossS = 0.3 * Math.exp(0.8 * random.normal());
      const keeps = 0.55 + 0.45 * random.uniform();
      const laps = Array.from({ length: 9 }, () => 3 + random.below(6));
      const errors = laps.map((n) => lapS / Math.sqrt(n));
      const history = errors.map((error) => {
        const measured = lossS + Math.hypot(error, dayS) * random.normal();
        lossS *= keeps * (0.9 + 0.2 * random.uniform());
        return measured;
      });
      return { key: `part ${part}`, history, errors };
    });
    const { regretS, lastLossRegretS } = rankRecord(candidates, 5);
    rankS += regretS! / runs;
    lastS += lastLossRegretS! / runs;
  }
  return { rankS, lastS };
}

/** Mean regret of the first four of eighteen losses over ten sessions, by the rank and by the last session's loss. */
export function rankRegret(driftS: number, dayS: number, runs: number): { rankS: number; lastS: number } {
  const random = randomFrom(seedOf(driftS, dayS));
  let [rankS, lastS] = [0, 0];
  for (let run = 0; run < runs; run++) {
    const candidates = Array.from({ length: 18 }, (_, corner) => {
      let lossS = 0.15 * Math.exp(0.8 * random.normal());
      const history = Array.from({ length: 10 }, () => {
        const measured = lossS + dayS * random.normal();
        lossS = Math.max(0, lossS * 0.96 + driftS * random.normal());
        return measured;
      });
      return { key: `corner ${corner}`, history };
    });
    const { regretS, lastLossRegretS } = rankRecord(candidates, 4);
    rankS += regretS! / runs;
    lastS += lastLossRegretS! / runs;
  }
  return { rankS, lastS };
}
