import type { SlowZone } from './ride.ts';
import type { Deficit, Software } from './riders.ts';
import type { Sensors } from './sense.ts';

export type Stage = 'simulation' | 'bench' | 'track';

/** A day of the demo campaign: who rode what, how it was measured, and what the engineer wrote. */
export interface Day {
  readonly id: string;
  readonly stage: Stage;
  /** Null: the reference rider. */
  readonly software: Software | null;
  readonly controller: string | null;
  readonly configuration: Readonly<Record<string, string>>;
  readonly conditions: Readonly<Record<string, string>>;
  readonly runs: readonly DayRun[];
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
  readonly sensors: Sensors;
  /** One deficit of the day less on this run: the bend where something was set right, with what was changed for it. */
  readonly cured?: { readonly bend: string; readonly configuration: Readonly<Record<string, string>> };
  /** Where somebody took over: riding is slow there, and the session file says so. */
  readonly intervention?: SlowZone;
  /** A lap that the engineer takes out, with the reason. */
  readonly spoilt?: SlowZone & { readonly reason: string };
  /** A stretch of time without rows, by place. */
  readonly hole?: { readonly lap: number; readonly atM: number; readonly seconds: number };
  /** The log ends in the middle of its last row. */
  readonly cut?: true;
  /** A cap on the speed of the whole run. */
  readonly capKmh?: number;
  /** Laps that the circuit's own timing saw, with what it printed too much (ms). */
  readonly official?: Readonly<Record<number, number>>;
}

/** The receiver on the reference rider's machine, over the tail. */
const RIDER_SENSORS: Sensors = {
  rateHz: 20,
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
const ROBOT_SENSORS: Sensors = {
  rateHz: 20,
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

const MODEL: Sensors = { rateHz: 50, axes: 'level' };
/** On the rig the machine leans and turns for real, but it goes nowhere. */
const RIG: Sensors = { rateHz: 50, axes: 'level', rollNoiseRad: 0.002, rateNoiseRadps: 0.004 };
const EMULATED = ['lat', 'lon', 'alt', 'speed', 'acc_long', 'acc_lat'] as const;

const rolling = { start: 'rolling', end: 'rolling' } as const;
const pit = { start: 'pit', end: 'pit' } as const;

/** After the master cylinder was changed, every bend is braked for with less than was asked. */
const softBrakes: readonly Deficit[] = ['1', '2', '3', '4', '6', '7', '8', '9', '10', '11'].map((bend) => ({
  bend,
  cause: 'intensity',
  style: { brakeUse: 0.5 },
}));

const early6: Deficit = { bend: '6', cause: 'onset', style: { earlyM: 32 }, planned: true };
const late3 = (lateM: number): Deficit => ({ bend: '3', cause: 'pick-up', style: { lateM } });
const early1: Deficit = { bend: '1', cause: 'onset', style: { earlyM: 24 }, planned: true };
const shift11: Deficit = { bend: '11', cause: 'shifts', style: { shiftAt: 0.76 }, planned: true };
const slow10: Deficit = { bend: '10', cause: 'grip', style: { gripUse: 0.72 }, planned: true };
const tight4: Deficit = { bend: '4', cause: 'line', reachM: 2, planned: true };
const weak8: Deficit = { bend: '8', cause: 'drive', style: { driveUse: 0.66 } };

/** In order of dates. Every day draws its own numbers, so a new one leaves the others as they are. */
export const DAYS: readonly Day[] = [
  {
    id: '2026-01-13-reference',
    stage: 'track',
    software: null,
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
    runs: [
      { file: 'run-01.csv', laps: 4, ...pit, sensors: RIDER_SENSORS },
      { file: 'run-02.csv.gz', laps: 4, ...pit, sensors: RIDER_SENSORS },
    ],
    notes: `The reference rider's day on machine A, with the second logger on the tail. Two runs of four laps on one set of tyres. Asked for laps
that can be repeated rather than for one fast lap, and got them.

The rider found the kink easy, the chicane the hardest place to be in time for, and the exit of the hairpin the one that pays
most. The logger is not the robot's: its sensors lean with the machine, two of its signs run the other way, its numbers have
commas, and its receiver is later than ours. All of that is written above.`,
  },
  {
    id: '2026-01-20-simulation',
    stage: 'simulation',
    software: { name: 'simulation 1', skill: 0.56, deficits: [], ideal: true },
    controller: '0.3.0',
    configuration: { controller: '0.3.0', map: '2026-01', machine: 'model 2' },
    conditions: { surface: 'dry' },
    runs: [{ file: 'run-01.csv', laps: 2, ...rolling, sensors: MODEL }],
    notes: `First complete laps of 0.3.0 in simulation, from a rolling start before the gate. Perfect sensors, short actuator delays, a grip
that never changes: read it as what the planner asks for, not as what will be ridden.

The planner keeps well inside the edges and asks for less lean than the reference rider used.`,
  },
  {
    id: '2026-01-27-bench',
    stage: 'bench',
    software: { name: 'bench 1', skill: 0.3, deficits: [] },
    controller: '0.4.0',
    configuration: { controller: '0.4.0', firmware: '7', map: '2026-01', machine: 'B', calibration: 'c1' },
    conditions: { air: '19 Cel', surface: 'dry' },
    runs: [{ file: 'run-01.csv.gz', laps: 2, ...rolling, sensors: RIG }],
    emulated: EMULATED,
    notes: `Machine B on the rig: real robot, real brakes, clutch and gearbox, a road that isn't there. Position and speed come from the model.

Lap times here mean little. What we came for is the order of things before a bend: throttle shut, brake, clutch, gear. It takes
the robot a second and more; the reference rider needs little over half of that.`,
  },
  {
    id: '2026-02-03-first',
    stage: 'track',
    software: { name: 'first', skill: 0.03, deficits: [], bends: { '5': { gripUse: 0.3 } } },
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
    runs: [{ file: 'run-01.csv.gz', laps: 3, ...pit, sensors: ROBOT_SENSORS }],
    notes: `First flying laps on the circuit. Out lap, three laps, in lap, no intervention. Everything is early and gentle on purpose: the
limits of lean, of brake pressure and of throttle were set low for the first day.

It lifts for the kink, where nobody else does. It runs wide of its own plan in every slow corner, and the brake arrives later
than it is asked for. Cold track, old tyres, never properly warm.`,
  },
  {
    id: '2026-02-12-simulation',
    stage: 'simulation',
    software: { name: 'simulation 2', skill: 0.76, deficits: [late3(12)], ideal: true },
    controller: '0.6.2',
    configuration: { controller: '0.6.2', map: '2026-02', machine: 'model 2' },
    conditions: { surface: 'dry' },
    runs: [{ file: 'run-01.csv.gz', laps: 2, ...rolling, sensors: MODEL }],
    notes: `0.6.2 with the new map. In the model it is close to what a good club rider does, and we know by now that the model is kind.

One thing to take to the circuit: out of the hairpin the throttle comes late. The rule that waits for the machine to stand up
was written for the bench and is too careful where the lean is deepest.`,
  },
  {
    id: '2026-02-17-capped',
    stage: 'track',
    software: { name: 'capped', skill: 0.3, deficits: [late3(16)] },
    controller: '0.7.0',
    configuration: { controller: '0.7.0', firmware: '7', map: '2026-02', machine: 'B', calibration: 'c3' },
    conditions: {
      air: '12 Cel',
      track: '18 Cel',
      pressure: '1016 hPa',
      wind: '5 m/s',
      wind_from: '290 deg',
      surface: 'dry',
      tyres: 'medium, set 5',
      fuel: '7 kg',
    },
    runs: [
      { file: 'run-01.csv.gz', laps: 2, ...pit, sensors: ROBOT_SENSORS, capKmh: 120, cut: true },
      { file: 'run-02.csv.gz', laps: 3, ...pit, sensors: ROBOT_SENSORS },
    ],
    accept: { LOG_CUT: 'battery taken out in the pit lane before the file was closed' },
    notes: `New steering motor, so the morning's run was capped at 120 km/h: two laps to see that it turns the right way and stops turning when
it should. They are lap times of a cap, not of a robot, and stay out of everything.

Afternoon without the cap, three clean laps. The wind was on the nose down the main straight. The first log ends in the middle of
a row, because the battery came out before the file was closed; that was in the pit lane.`,
  },
  {
    id: '2026-02-24-middle',
    stage: 'track',
    software: { name: 'middle', skill: 0.54, deficits: [early6, late3(18)] },
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
        file: 'run-01.csv.gz',
        laps: 5,
        ...pit,
        sensors: ROBOT_SENSORS,
        intervention: { lap: 2, takenM: 1440, fromM: 1560, toM: 1760, mps: 17 },
        hole: { lap: 4, atM: 2465, seconds: 0.8 },
      },
    ],
    notes: `Limits raised after two weeks in simulation. The second lap is spoilt: the operator saw a marshal's vehicle on the service road
beside the long straight and took the robot out of control until it had passed. Robot back in control before the next corner,
lap finished, no fault of the software.

One gap in the log on the fourth lap, after corner 9. The storage card was full of old runs; it has been emptied.

Corner 6 is braked for as if the road were damp there. That margin is in the plan: somebody put it in after a slide in December
and nobody took it out.`,
  },
  {
    id: '2026-03-10-bench',
    stage: 'bench',
    software: { name: 'bench 2', skill: 0.7, deficits: [] },
    controller: '0.10.0',
    configuration: { controller: '0.10.0', firmware: '8', map: '2026-03', machine: 'B', calibration: 'c4' },
    conditions: { air: '20 Cel', surface: 'dry' },
    runs: [{ file: 'run-01.csv.gz', laps: 2, ...rolling, sensors: RIG }],
    emulated: EMULATED,
    notes: `Back on the rig with faster valves in the brake and a shorter throw of the clutch. Throttle to gear is down by a third since January.

The model drives as the circuit's surface was in February. Nobody has told it about the spring.`,
  },
  {
    id: '2026-03-17-timed',
    stage: 'track',
    software: {
      name: 'timed',
      skill: 0.8,
      deficits: [early1, shift11, slow10],
      bends: { '7': { rollRateDegps: 52 }, '8': { rollRateDegps: 52 } },
    },
    controller: '0.11.3',
    configuration: { controller: '0.11.3', firmware: '8', map: '2026-03', machine: 'B', calibration: 'c4' },
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
      {
        file: 'run-01.csv',
        laps: 4,
        ...pit,
        sensors: ROBOT_SENSORS,
        official: { 1: 0, 2: 1, 3: 38, 4: -1 },
      },
      {
        file: 'run-02.csv.gz',
        laps: 4,
        ...pit,
        sensors: ROBOT_SENSORS,
        cured: { bend: '11', configuration: { shift_table: 'b' } },
      },
    ],
    accept: { OFFICIAL_TIMING: 'lap 3: the beam at the gate had been knocked askew, put back before lap 4' },
    notes: `Eight laps without a hand on it. The circuit's own timing was on for the morning and its laps are entered above. Its
third is off by four hundredths; somebody had walked into the beam.

Morning: out of corner 11 the robot changes up long before it has to and drags itself along the main straight, a setting nobody
had looked at since the first day. Over lunch the shift table was put right, nothing else; the afternoon's run shows what it is
worth.

Corner 1 still carries the old margin at the end of the main straight. Corner 10 is taken slowly, and we don't know why; the
plan believes in less grip there than anywhere else. Through the chicane it can't lean over fast enough.`,
  },
  {
    id: '2026-03-31-wet',
    stage: 'track',
    software: {
      name: 'wet',
      skill: 0.7,
      grip: 0.7,
      all: { driveUse: 0.72, brakeUse: 0.66 },
      deficits: [],
    },
    controller: '0.12.0',
    configuration: { controller: '0.12.0', firmware: '8', map: '2026-03', machine: 'B', calibration: 'c4' },
    conditions: {
      air: '10 Cel',
      track: '11 Cel',
      pressure: '1002 hPa',
      wind: '4 m/s',
      wind_from: '220 deg',
      surface: 'wet',
      tyres: 'rain, set 1',
      fuel: '7 kg',
    },
    runs: [{ file: 'run-01.csv.gz', laps: 3, ...pit, sensors: ROBOT_SENSORS }],
    notes: `It rained from eight on. We rode because the rain tyres had never been on the machine and because one day it will rain when it
matters. Three laps, no slide worth the name.

Nothing in this session says anything about the gap. The reference rider has never ridden here in the wet.`,
  },
  {
    id: '2026-04-14-setback',
    stage: 'track',
    software: { name: 'setback', skill: 0.83, deficits: softBrakes },
    controller: '0.13.0',
    configuration: { controller: '0.13.0', firmware: '9', map: '2026-04', machine: 'B', calibration: 'c4' },
    conditions: {
      air: '18 Cel',
      track: '29 Cel',
      pressure: '1011 hPa',
      wind: '3 m/s',
      wind_from: '180 deg',
      surface: 'dry',
      tyres: 'medium, set 9',
      fuel: '7 kg',
    },
    runs: [{ file: 'run-01.csv.gz', laps: 4, ...pit, sensors: ROBOT_SENSORS }],
    notes: `Slower than a month ago, with better software: the old margins before corner 1 and in corner 10 are out of the plan. It brakes
softly everywhere and therefore early, and the plan knows nothing of it.

Found in the evening: the front master cylinder was changed on Friday and the calibration c4 was made for the old one. The robot
asks for a stroke and gets a third less pressure. Nobody rides again before c5.`,
  },
  {
    id: '2026-04-21-simulation',
    stage: 'simulation',
    software: { name: 'simulation 3', skill: 0.96, deficits: [], ideal: true },
    controller: '0.14.0',
    configuration: { controller: '0.14.0', map: '2026-04', machine: 'model 3' },
    conditions: { surface: 'dry' },
    runs: [{ file: 'run-01.csv.gz', laps: 3, ...rolling, sensors: MODEL }],
    notes: `Model 3: brakes and throttle with the dead time that the rig measured, so that a lap in the model costs what it costs us. With
brakes that do what they are asked, 0.14.0 is worth a lap within a second and a half of the reference rider's.

If the next day on the circuit comes anywhere near it, April was only the master cylinder.`,
  },
  {
    id: '2026-05-05-bench',
    stage: 'bench',
    software: { name: 'bench 3', skill: 0.92, deficits: [] },
    controller: '0.15.1',
    configuration: { controller: '0.15.1', firmware: '9', map: '2026-04', machine: 'B', calibration: 'c5' },
    conditions: { air: '21 Cel', surface: 'dry' },
    runs: [{ file: 'run-01.csv.gz', laps: 2, ...rolling, sensors: RIG }],
    emulated: EMULATED,
    notes: `Calibration c5 on the rig, pressure against a gauge at eleven points. What is asked for is what comes, within a tenth of a bar.

The sequence into a bend is within a tenth of a second of a person's. Whatever is still lost, little of it is lost there.`,
  },
  {
    id: '2026-05-19-back',
    stage: 'track',
    software: { name: 'back', skill: 0.93, deficits: [tight4, weak8, late3(12)] },
    controller: '0.15.2',
    configuration: { controller: '0.15.2', firmware: '9', map: '2026-05', machine: 'B', calibration: 'c5' },
    conditions: {
      air: '21 Cel',
      track: '36 Cel',
      pressure: '1014 hPa',
      wind: '3 m/s',
      wind_from: '230 deg',
      surface: 'dry',
      tyres: 'medium, set 11',
      fuel: '7 kg',
    },
    runs: [
      {
        file: 'run-01.csv.gz',
        laps: 4,
        ...pit,
        sensors: ROBOT_SENSORS,
        spoilt: {
          lap: 2,
          takenM: 1200,
          fromM: 1215,
          toM: 1420,
          mps: 24,
          own: true,
          reason: 'a gull on the line before the kink, robot slowed by itself',
        },
      },
    ],
    notes: `Brakes are back, and with them the pace. The second lap doesn't count: a gull sat on the line before the kink, the robot saw it, shut
the throttle and waited for it to leave. It did everything right; the lap is out because nobody else had a gull.

Corner 4 is on the wrong line since the map of May: its edges were surveyed from the kerbs' far side, so the plan keeps to the
middle of the road. Out of the chicane the traction limit cuts in where there is nothing to cut.`,
  },
  {
    id: '2026-06-02-close',
    stage: 'track',
    software: { name: 'close', skill: 1, deficits: [late3(9), { ...early6, style: { earlyM: 15 } }] },
    controller: '0.17.2',
    configuration: { controller: '0.17.2', firmware: '9', map: '2026-05b', machine: 'B', calibration: 'c5' },
    conditions: {
      air: '24 Cel',
      track: '41 Cel',
      pressure: '1016 hPa',
      wind: '2 m/s',
      wind_from: '250 deg',
      surface: 'dry',
      tyres: 'medium, set 12',
      fuel: '7 kg',
    },
    runs: [
      { file: 'run-01.csv.gz', laps: 4, ...pit, sensors: ROBOT_SENSORS },
      { file: 'run-02.csv.gz', laps: 4, ...pit, sensors: ROBOT_SENSORS },
    ],
    notes: `Eight laps, all of them usable, the spread of a person. On most of the circuit the two can no longer be told apart.

What is left is small and in known places: the hairpin's exit, still; a few metres before corner 6; and everywhere the last of
the brake pressure, which the safety limit on rear lift holds back. We leave that limit where it is.`,
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
  - { name: Within twelve seconds, due: 2026-02-27, gap: "12 s" }
  - { name: Within five seconds, due: 2026-03-31, gap: "5 s" }
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
