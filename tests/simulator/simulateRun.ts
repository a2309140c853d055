import { motion } from './motion.ts';
import type { Place } from './planeToEarth.ts';
import { type Ride, ride } from './ride.ts';
import { type Rows, type Sensors, sense } from './sense.ts';

/** A run in memory with what is really true of it. */
export interface Simulated {
  readonly rows: Rows;
  readonly truth: {
    /** Moments, on the clock of the log, at which the gate was crossed. */
    readonly crossingsS: readonly number[];
    readonly lapTimesS: readonly number[];
    /** Clock of the log at a station of a lap; lap 1 begins at the first crossing. */
    readonly timeAtStation: (lap: number, stationM: number) => number;
    /** Station counted on over the laps (L after one), and offset from the course, of the ground point at every row. */
    readonly stationOfRow: Float64Array;
    readonly offsetOfRow: Float64Array;
    /** What the robot aimed at would have taken, lap by lap; null for a human. */
    readonly planTimesS: readonly number[] | null;
  };
}

/**
 * Rides and measures a run. Equal specifications give equal numbers on every machine.
 * @example simulateRun({ course: courseFromPieces(oval), bends, rider, laps: 3, start: 'rolling', end: 'rolling', seed: 'a' }, { rateHz: 50 })
 */
export function simulateRun(spec: Ride, sensors: Sensors, origin?: Place): Simulated {
  const run = ride(spec);
  const sensed = sense(run, motion(run, spec.rider), sensors, spec.seed, origin, spec.rider.plan);
  const clockS = sensors.clockS ?? 0;
  return {
    rows: sensed.rows,
    truth: {
      crossingsS: run.crossingsS.map((t) => t + clockS),
      lapTimesS: run.lapTimesS,
      timeAtStation: (lap, stationM) => run.timeAtStation(lap, stationM) + clockS,
      stationOfRow: sensed.stationOfRow,
      offsetOfRow: sensed.offsetOfRow,
      planTimesS: run.plan?.lapTimesS ?? null,
    },
  };
}
