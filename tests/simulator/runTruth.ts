import type { DemoRun } from './demoRun.ts';
import { eventsOf } from './events.ts';
import { motion } from './motion.ts';
import type { Ridden } from './ride.ts';
import type { Cause, Deficit } from './riders.ts';
import type { Circuit } from './saltmarsh.ts';
import type { DayRun } from './scenario.ts';

/** Distance between the stations at which lap times are written down, and those of a deficit's costs, m. */
const EVERY_M = 4;
const LOSS_EVERY_M = 5;

const round = (value: number, digits: number): number => Number(value.toFixed(digits));
const rounded = (value: number | null, digits: number): number | null => (value === null ? null : round(value, digits));

/**
 * What is true of one run: crossings, lap times, the time into the lap every 4 m, and what the rider did in every bend.
 * Events of a bend are `[bend, brake on, brake off, slowest place, pick-up, slowest m/s, peak deceleration m/s2,
 * largest lean deg]`, stations in metres.
 */
export function runTruth(
  circuit: Circuit,
  { ridden: run, rider, holeS }: DemoRun,
  spec: DayRun,
): Record<string, unknown> {
  const { lengthM } = circuit.course;
  const controls = motion(run, rider);
  return {
    crossingsS: run.crossingsS.map((t) => round(t, 6)),
    lapTimesS: run.lapTimesS.map((t) => round(t, 6)),
    planTimesS: run.plan ? run.plan.lapTimesS.map((t) => round(t, 6)) : null,
    ...(holeS === undefined
      ? {}
      : { hole: { lap: spec.hole!.lap, fromS: round(holeS, 3), toS: round(holeS + spec.hole!.seconds, 3) } }),
    ...(spec.intervention ? { intervention: spec.intervention } : {}),
    ...(spec.spoilt ? { spoilt: spec.spoilt } : {}),
    ...(spec.capKmh ? { capKmh: spec.capKmh } : {}),
    ...(spec.official ? { official: spec.official } : {}),
    stationsEveryM: EVERY_M,
    laps: run.lapTimesS.map((_, k) => {
      const lap = k + 1;
      const startS = run.timeAtStation(lap, 0);
      const into = (stationM: number) => round(run.timeAtStation(lap, stationM) - startS, 5);
      return {
        lap,
        atStationsS: Array.from({ length: Math.floor(lengthM / EVERY_M) + 1 }, (_, i) => into(i * EVERY_M)),
        events: eventsOf(run, controls, circuit.bends, lengthM, lap).map((e) => [
          e.bend,
          rounded(e.brakeOnM, 2),
          rounded(e.brakeOffM, 2),
          round(e.slowestM, 2),
          rounded(e.pickUpM, 2),
          round(e.slowestMps, 3),
          round(e.peakDecelerationMps2, 2),
          round(e.maxLeanDeg, 1),
        ]),
      };
    }),
  };
}

/** The phase that holds what each cause costs by itself. */
const PHASE: Readonly<Record<Cause, 'braking' | 'apex' | 'drive'>> = {
  onset: 'braking',
  intensity: 'braking',
  line: 'apex',
  grip: 'apex',
  'pick-up': 'drive',
  drive: 'drive',
  shifts: 'drive',
};

/**
 * What one deficit cost, lap by lap: the run as it was ridden less the same run, every other draw alike, without it.
 * `lossS` is the loss since `fromM` every 5 m, from the end of the bend before to the end of the bend after; a lap's
 * first and last bend reach into its neighbours.
 */
export function deficitTruth(
  circuit: Circuit,
  run: string,
  deficit: Deficit,
  withIt: Ridden,
  without: Ridden,
  leftOut: readonly number[],
): object {
  const { bends, course } = circuit;
  const at = bends.findIndex(({ name }) => name === deficit.bend);
  const fromM = at === 0 ? bends.at(-1)!.toM - course.lengthM : bends[at - 1]!.toM;
  const toM = at === bends.length - 1 ? bends[0]!.toM + course.lengthM : bends[at + 1]!.toM;
  const laps = withIt.lapTimesS.flatMap((lapS, k) => {
    const lap = k + 1;
    if (leftOut.includes(lap)) return [];
    const lost = (m: number) => withIt.timeAtStation(lap, m) - without.timeAtStation(lap, m);
    const count = Math.floor((toM - fromM) / LOSS_EVERY_M) + 1;
    return [
      {
        lap,
        seconds: round(lapS - without.lapTimesS[k]!, 4),
        lossS: Array.from({ length: count }, (_, i) => round(lost(fromM + i * LOSS_EVERY_M) - lost(fromM), 4)),
      },
    ];
  });
  const sorted = laps.map(({ seconds }) => seconds).sort((a, b) => a - b);
  const [low, high] = [sorted[(sorted.length - 1) >> 1] ?? 0, sorted[sorted.length >> 1] ?? 0];
  return {
    run,
    corner: deficit.bend,
    phase: PHASE[deficit.cause],
    cause: deficit.cause,
    planned: deficit.planned === true,
    seconds: round((low + high) / 2, 4),
    instead: deficit.style ?? { reachM: deficit.reachM },
    fromM: round(fromM, 3),
    everyM: LOSS_EVERY_M,
    laps,
  };
}
