import type { SlowZone } from './ride.ts';
import type { Software } from './riders.ts';
import type { Sensors } from './sense.ts';

/** Sensors without the rate of the log, which is one for the whole demo. */
type Carried = Omit<Sensors, 'rateHz'>;

export type Stage = 'simulation' | 'bench' | 'track';

/** A day of the demo campaign: who rode what, how it was measured, and what the engineer wrote. */
export interface Day {
  readonly id: string;
  readonly stage: Stage;
  readonly rider: 'reference' | Software;
  readonly controller: string | null;
  readonly configuration: Readonly<Record<string, string>>;
  readonly conditions: Readonly<Record<string, string>>;
  readonly runs: readonly DayRun[];
  /** Share of the dry grip, sideways and lengthways: below 1 on a damp or wet surface. */
  readonly grip?: number;
  /** Bench: channels that did not happen. */
  readonly emulated?: readonly string[];
  /** Problem code to the reason for living with it. */
  readonly accept?: Readonly<Record<string, string>>;
  readonly notes: string;
}

/** One log of a day. */
export interface DayRun {
  readonly file: string;
  readonly laps: number;
  readonly start: 'pit' | 'rolling' | 'grid';
  readonly end: 'pit' | 'rolling' | number;
  readonly sensors: Carried;
  /** Where somebody took over: riding is slow there, and the session file says so. */
  readonly intervention?: SlowZone;
  /** A stretch of time without rows, by place. */
  readonly hole?: { readonly lap: number; readonly atM: number; readonly seconds: number };
  /** A cap on the speed of the whole run. */
  readonly capKmh?: number;
  /** Laps that the circuit's own timing saw, with what it printed too much (ms). */
  readonly official?: Readonly<Record<number, number>>;
}

/** The receiver on the reference rider's machine, over the tail. */
const RIDER_SENSORS: Carried = {
  latencyS: 0.06,
  antenna: [-0.55, 0, 0.92],
  axes: 'body',
  positionNoiseM: 0.012,
  driftM: 0.025,
  driftS: 180,
  speedNoiseMps: 0.03,
  accNoiseMps2: 0.2,
  rollNoiseRad: 0.003,
  rateNoiseRadps: 0.008,
};

/** The robot's own receiver, on its back: fewer fixes than rows. */
const ROBOT_SENSORS: Carried = {
  positionHz: 10,
  latencyS: 0.04,
  antenna: [0.08, 0.12, 1.05],
  axes: 'level',
  positionNoiseM: 0.015,
  driftM: 0.02,
  driftS: 240,
  speedNoiseMps: 0.03,
  accNoiseMps2: 0.15,
  rollNoiseRad: 0.003,
  rateNoiseRadps: 0.006,
};

const PERFECT: Carried = { axes: 'level' };

/** In order of dates. Every day draws its own numbers, so a new one leaves the others as they are. */
export const DAYS: readonly Day[] = [
  {
    id: '2026-01-13-reference',
    stage: 'track',
    rider: 'reference',
    controller: null,
    configuration: { machine: 'A', tyres: 'medium, new', gearing: 'standard' },
    conditions: {
      air: '11 Cel',
      track: '16 Cel',
      pressure: '1018 hPa',
      wind: '2 m/s',
      wind_from: '310 deg',
      surface: 'dry',
      tyres: 'medium, set 3',
      fuel: '9 kg',
    },
    runs: [{ file: 'run-01.csv', laps: 5, start: 'pit', end: 'pit', sensors: RIDER_SENSORS }],
    notes: `The reference rider's day on machine A, with the second logger on the tail. One run from the pit lane, five laps at racing
pace, back to the pit lane. Asked for laps that can be repeated rather than for one fast lap, and got them.

The rider found the kink easy, the chicane the hardest place to place the machine, and the exit of the hairpin the one that
pays most. The logger is not the robot's: its sensors lean with the machine, two of its signs run the other way, and its
receiver is later than ours. All of that is written above.`,
  },
  {
    id: '2026-01-20-simulation',
    stage: 'simulation',
    rider: 'simulated',
    controller: '0.3.0',
    configuration: { controller: '0.3.0', map: '2026-01', machine: 'model 2' },
    conditions: { surface: 'dry' },
    runs: [{ file: 'run-01.csv', laps: 2, start: 'rolling', end: 'rolling', sensors: PERFECT }],
    notes: `First complete laps of 0.3.0 in simulation, from a rolling start before the gate. Perfect sensors, short actuator delays, a grip
that never changes: read it as what the planner asks for, not as what will be ridden.

The planner keeps well inside the edges and asks for less lean than the reference rider used.`,
  },
  {
    id: '2026-02-03-first',
    stage: 'track',
    rider: 'first',
    controller: '0.4.1',
    configuration: { controller: '0.4.1', firmware: '7', map: '2026-01', machine: 'B', calibration: 'c2' },
    conditions: {
      air: '9 Cel',
      track: '13 Cel',
      pressure: '1022 hPa',
      wind: '4 m/s',
      wind_from: '340 deg',
      surface: 'dry',
      tyres: 'medium, set 5',
      fuel: '7 kg',
    },
    runs: [{ file: 'run-01.csv', laps: 3, start: 'pit', end: 'pit', sensors: ROBOT_SENSORS }],
    notes: `First flying laps on the circuit. Out lap, three laps, in lap, no intervention. Everything is early and gentle on purpose: the
limits of lean, of brake pressure and of throttle were set low for the first day.

It lifts for the kink, where nobody else does. It runs wide of its own plan in every slow corner, and the brake arrives later
than it is asked for. Cold track, old habits: the tyres were never properly warm.`,
  },
  {
    id: '2026-02-24-middle',
    stage: 'track',
    rider: 'middle',
    controller: '0.9.0',
    configuration: { controller: '0.9.0', firmware: '8', map: '2026-02', machine: 'B', calibration: 'c3' },
    conditions: {
      air: '14 Cel',
      track: '22 Cel',
      pressure: '1015 hPa',
      wind: '3 m/s',
      wind_from: '200 deg',
      surface: 'dry',
      tyres: 'medium, set 6',
      fuel: '7 kg',
    },
    runs: [
      {
        file: 'run-01.csv',
        laps: 5,
        start: 'pit',
        end: 'pit',
        sensors: ROBOT_SENSORS,
        intervention: { lap: 2, takenM: 1465, fromM: 1600, toM: 1800, mps: 17 },
        hole: { lap: 4, atM: 2480, seconds: 0.8 },
      },
    ],
    notes: `Limits raised after three weeks in simulation and on the rig. The second lap is spoilt: the operator saw a marshal's vehicle on
the service road beside the long straight and took the robot out of control until it had passed. Robot back in control
before the next corner, lap finished, no fault of the software.

One gap in the log on the fourth lap, after corner 9. The storage card was full of old runs; it has been emptied.`,
  },
  {
    id: '2026-03-17-latest',
    stage: 'track',
    rider: 'latest',
    controller: '0.14.2',
    configuration: { controller: '0.14.2', firmware: '8', map: '2026-03', machine: 'B', calibration: 'c4' },
    conditions: {
      air: '16 Cel',
      track: '25 Cel',
      pressure: '1013 hPa',
      wind: '2 m/s',
      wind_from: '250 deg',
      surface: 'dry',
      tyres: 'medium, set 8',
      fuel: '7 kg',
    },
    runs: [
      { file: 'run-01.csv', laps: 6, start: 'pit', end: 'pit', sensors: ROBOT_SENSORS, official: { 2: 1, 5: -1 } },
    ],
    notes: `Six laps without a hand on it. The circuit's own timing was on for the morning, two of its laps are entered above.

The new planner brakes close to where the reference rider does except for corners 1 and 6, which still carry the old margin
after the long straights. Out of the hairpin it waits too long before it opens the throttle. Through the chicane it can't
lean over fast enough; the limit on the steering motor is the next thing to raise. Out of corner 4 it changes up early,
which is a setting nobody has looked at since the first day.`,
  },
];

/** Front matter and text of campaign.md. */
export const CAMPAIGN = `---
title: The Saltmarsh campaign
riders:
  robot: { name: Robot, kind: robot }
  reference: { name: Reference rider, kind: human }
reference: 2026-01-13-reference
targets:
  - { name: Within ten seconds, due: 2026-02-27, gap: "10 s" }
  - { name: Within four seconds, due: 2026-03-31, gap: "4 s" }
  - { name: Within one second, due: 2026-06-26, gap: "1 s" }
---
A robot rides an unmodified road motorcycle round Saltmarsh, a circuit of a little over three kilometres on the plain behind
the beach, and is to come within a second of a professional's lap. The gap on this site is always the robot's time less the
reference rider's, over the same stretch of the circuit.

The reference is one rider on one day, on the sister machine, in the conditions written in that session. It is a yardstick,
not the fastest lap that the circuit has in it. Simulation shows what the planner asks for; only laps ridden on the circuit
count towards a target.

Everything here describes laps that were ridden. It doesn't clear the robot, the machine or a version of its software to
run, and a margin that was kept once is no promise that it will be kept again. The circuit's rules and its safety officer decide.
`;
