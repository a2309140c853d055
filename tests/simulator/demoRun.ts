import { csv, type Logger, riderLogger, robotLogger } from './loggers.ts';
import { motion } from './motion.ts';
import { type Ridden, ride, type SlowZone } from './ride.ts';
import type { Rider } from './rider.ts';
import type { Deficit, riders } from './riders.ts';
import type { Circuit } from './saltmarsh.ts';
import type { Day, DayRun } from './scenario.ts';
import { sense } from './sense.ts';

/** A run of the demo as it was ridden. */
export interface DemoRun {
  readonly rider: Rider;
  readonly ridden: Ridden;
  /** Start of the hole in the log, on its clock. */
  readonly holeS: number | undefined;
}

export const loggerOf = (day: Day): Logger => (day.software ? robotLogger(day.stage) : riderLogger());

/** What is done badly on a run: the day's deficits less what was cured for it. */
export const deficitsOf = (day: Day, run: DayRun): readonly Deficit[] =>
  day.software?.deficits.filter(({ bend }) => bend !== run.cured?.bend) ?? [];

/** Rides a run of a day; with other deficits than its own, every draw of lap and line stays the same. */
export function demoRun(
  circuit: Circuit,
  people: ReturnType<typeof riders>,
  day: Day,
  run: DayRun,
  deficits: readonly Deficit[],
): DemoRun {
  const rider = day.software ? people.robot({ ...day.software, deficits }) : people.reference;
  const ridden = ride({
    course: circuit.course,
    bends: circuit.bends,
    rider,
    laps: run.laps,
    start: run.start,
    end: run.end,
    pitOffsetM: circuit.pitOffsetM,
    ...(run.capKmh === undefined ? {} : { capMps: run.capKmh / 3.6 }),
    slow: [run.intervention, run.spoilt].filter((zone): zone is SlowZone => zone !== undefined),
    seed: seedOf(day, run),
  });
  return { rider, ridden, holeS: run.hole && ridden.timeAtStation(run.hole.lap, run.hole.atM) };
}

/** The log of a run as text. Other noise with another seed. */
export function demoLog(circuit: Circuit, day: Day, run: DayRun, of: DemoRun, seed = seedOf(day, run)): string {
  const { rider, ridden, holeS } = of;
  const holes = holeS === undefined ? [] : [[holeS, holeS + run.hole!.seconds] as const];
  const { rows } = sense(ridden, motion(ridden, rider), { ...run.sensors, holes }, seed, circuit.origin, rider.plan);
  const text = csv(loggerOf(day), rows);
  return run.cut ? text.slice(0, -30) : text;
}

const seedOf = (day: Day, run: DayRun): string => `${day.id}/${run.file.replace(/\.gz$/, '')}`;
