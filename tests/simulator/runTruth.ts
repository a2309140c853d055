import { type Ridden, ride } from './ride.ts';
import type { BendStyle, Rider } from './rider.ts';
import { styleIn } from './rider.ts';
import type { Circuit } from './saltmarsh.ts';
import type { DayRun } from './scenario.ts';

/** Distance between the stations at which lap times are written down, m. */
const EVERY_M = 50;

const round = (value: number, digits: number): number => Number(value.toFixed(digits));

/** What is true of one run: crossings, lap times, and the time into the lap at the ends of every bend and every 50 m. */
export function runTruth(circuit: Circuit, run: Ridden, spec: DayRun, holeS: number | undefined): object {
  const { lengthM } = circuit.course;
  return {
    crossingsS: run.crossingsS.map((t) => round(t, 6)),
    lapTimesS: run.lapTimesS.map((t) => round(t, 6)),
    planTimesS: run.plan ? run.plan.lapTimesS.map((t) => round(t, 6)) : null,
    ...(holeS === undefined
      ? {}
      : { hole: { lap: spec.hole!.lap, fromS: round(holeS, 3), toS: round(holeS + spec.hole!.seconds, 3) } }),
    ...(spec.intervention ? { intervention: spec.intervention } : {}),
    stationsEveryM: EVERY_M,
    laps: run.lapTimesS.map((_, k) => {
      const lap = k + 1;
      const startS = run.timeAtStation(lap, 0);
      const into = (stationM: number) => round(run.timeAtStation(lap, stationM) - startS, 5);
      return {
        lap,
        atStationsS: Array.from({ length: Math.floor(lengthM / EVERY_M) + 1 }, (_, i) => into(i * EVERY_M)),
        bendsS: circuit.bends.map((b) => [b.name, into(b.fromM), into(b.toM)]),
        slowestMps: circuit.bends.map((b) => [b.name, round(slowest(run, circuit, lap, b.fromM, b.toM), 3)]),
        earlyM: circuit.bends.map((b) => [b.name, round(run.styles[k]?.[b.name]?.earlyM ?? 0, 2)]),
        lateM: circuit.bends.map((b) => [b.name, round(run.styles[k]?.[b.name]?.lateM ?? 0, 2)]),
      };
    }),
  };
}

/** Least speed between two stations of a lap, m/s. */
function slowest(run: Ridden, circuit: Circuit, lap: number, fromM: number, toM: number): number {
  const h = circuit.course.stepM;
  const node = (m: number) => Math.round(((lap - 1) * circuit.course.lengthM + m - run.path.firstM) / h);
  let least = Number.POSITIVE_INFINITY;
  for (let i = node(fromM); i <= node(toM); i++) least = Math.min(least, run.speed[i]!);
  return least;
}

/** What belongs together as one fault of riding. */
const FAULTS: readonly (readonly [fault: string, keys: readonly (keyof BendStyle)[]])[] = [
  ['braking early', ['earlyM']],
  ['braking softly', ['brakeUse', 'brakeBlend']],
  ['slow in the bend', ['gripUse']],
  ['slow to lean over', ['rollRateDegps']],
  ['late pick-up', ['lateM', 'rampS']],
  ['weak drive', ['driveUse', 'shiftAt']],
];

/**
 * Seconds that each fault of a robot costs, bend by bend: its steady lap less the one with that fault alone made good
 * (the reference rider's way of doing it), and the same for its shifts, its line and its machine over the whole lap.
 * Faults act together, so the sum is near the gap, not equal to it. Below 5 ms nothing is listed.
 */
export function plantedCosts(circuit: Circuit, robot: Rider, reference: Rider): object[] {
  const { plan: _, ...own } = robot;
  const lapS = (rider: Rider) =>
    ride({
      course: circuit.course,
      bends: circuit.bends,
      rider,
      laps: 1,
      start: 'rolling',
      startM: -700,
      startMps: 22,
      end: 'rolling',
      seed: 'steady',
      steady: true,
    }).lapTimesS[0]!;
  const riddenS = lapS(own);
  const costs: object[] = [
    { bend: null, fault: 'all', costS: round(riddenS - lapS(reference), 3) },
    { bend: null, fault: 'shifts', costS: round(riddenS - lapS({ ...own, shiftS: reference.shiftS }), 3) },
    { bend: null, fault: 'line', costS: round(riddenS - lapS({ ...own, line: reference.line }), 3) },
    { bend: null, fault: 'machine', costS: round(riddenS - lapS({ ...own, machine: reference.machine }), 3) },
  ];
  for (const bend of circuit.bends)
    for (const [fault, keys] of FAULTS) {
      const [mine, theirs] = [styleIn(own, bend.name), styleIn(reference, bend.name)];
      if (keys.every((key) => mine[key] === theirs[key])) continue;
      const cured = { ...mine, ...Object.fromEntries(keys.map((key) => [key, theirs[key]])) };
      const costS = riddenS - lapS({ ...own, bends: { ...own.bends, [bend.name]: cured } });
      if (Math.abs(costS) < 0.005) continue;
      costs.push({
        bend: bend.name,
        fault,
        costS: round(costS, 3),
        robot: Object.fromEntries(keys.map((key) => [key, mine[key]])),
        reference: Object.fromEntries(keys.map((key) => [key, theirs[key]])),
      });
    }
  return costs;
}
