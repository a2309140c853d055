import type { GuidePart } from './guideOf.ts';
import { circuit, log, session } from './sheets.ts';

type Codes =
  | 'POSITION_HELD'
  | 'POSITION_SIGMA'
  | 'ANTENNA_UNKNOWN'
  | 'AXES_UNKNOWN'
  | 'CHANNEL_IMPLAUSIBLE'
  | 'FRAME_MISSING'
  | 'FRAME_RESIDUAL'
  | 'CLOSURE'
  | 'PLAN_LINE';

const ANTENNA = '[0.1, 0, 1.0]';
const MOUNTED = `{ antenna: ${ANTENNA}, sigma: "0.3 m" }`;

/** A ride to the east at 30 m/s, ten rows a second, whose receiver skips some rows. */
const held = (speed: string) =>
  log(
    `time [s],lat [deg],lon [deg]${speed === '' ? '' : ',speed [m/s]'}`,
    ...[0, 1, 1, 3, 4, 4, 6, 7, 7, 9, 10, 10, 12, 13, 14].map(
      (fix, i) =>
        `${(i / 10).toFixed(1)},43.3608000,${(4.7612 + fix * 0.0000371).toFixed(7)}${speed === '' ? '' : `,${speed}`}`,
    ),
  );

/** A ride to the east at 30 m/s with a lean of 25, in some unit. */
const leaning = (unit: string) =>
  log(
    `time [s],lat [deg],lon [deg],roll [${unit}]`,
    ...Array.from(
      { length: 12 },
      (_, i) => `${(i / 10).toFixed(1)},43.3608000,${(4.7612 + i * 0.0000371).toFixed(7)},25.0`,
    ),
  );

/** Where the machine was, and how well that is known. */
export const POSITION: GuidePart<Codes> = {
  POSITION_HELD: {
    severities: ['warn'],
    meaning:
      'More than one row in five repeats the position of the row before, and the log has no `speed`. The receiver is slower than the log, or lost its fix; the logger fills the rows with the latest position it has.',
    cost: 'Only fresh positions count, so time between them is interpolated from position alone. Brake onsets and lowest speeds become as coarse as the receiver.',
    before: [held('')],
    cure: 'Log the speed as well, of the receiver or of a wheel: it carries from one fix to the next. Or set the receiver to a higher rate.',
    after: [held('30.0')],
    acceptable: true,
    accept: 'Reasonable for an old log that has nothing else.',
  },
  POSITION_SIGMA: {
    severities: ['note'],
    meaning:
      'Nothing says how good the positions are: there is no channel `position_sigma` and no `sigma:` in the session file. 0.5 m is assumed, one standard deviation.',
    cost: 'Every ± of the session follows from this number. With a receiver of 2 cm the intervals are far too wide and hide real differences; with one of 3 m they are far too narrow.',
    before: [session({ position: `{ antenna: ${ANTENNA} }` })],
    cure: 'Write down what the receiver reached on that day: from its own log, or from standing on a known point for some minutes.',
    after: [session({ position: `{ antenna: ${ANTENNA}, sigma: "0.03 m" }` })],
    acceptable: true,
    accept: 'Reasonable where half a metre is about right. Better is to write `sigma: "0.5 m"`.',
  },
  ANTENNA_UNKNOWN: {
    severities: ['warn'],
    meaning:
      'Where the antenna sits on the machine is not given. A position is that of the antenna; laps are compared at the ground point below the mass centre. At 55° of lean an antenna one metre up is 0.82 m beside the track of the machine.',
    cost: 'The position is used as it is, and 1 m fore or aft enters the uncertainty: about 37 ms in a hairpin. Offsets from the line are wrong by the lean, towards the inside of the bend.',
    before: [session({ position: '{ sigma: "0.03 m" }' })],
    cure: 'Measure forward, left and up in metres from the ground point below the mass centre, and add it to the session or to the run.',
    after: [session({ position: `{ antenna: ${ANTENNA}, sigma: "0.03 m" }` })],
    acceptable: true,
    accept:
      'Reasonable where both riders had the antenna at the same place and only the gap matters, or where it can no longer be measured.',
  },
  AXES_UNKNOWN: {
    severities: ['note'],
    meaning:
      'The log has accelerations or a yaw rate, and nothing says in which axes. A sensor that is fixed to the machine leans with it (`body`); an inertial unit may have turned its values to level axes already (`level`). At 50° of lean the two have little in common.',
    cost: 'These channels are listed and not used. Braking and pick-up are then found from other channels or from speed.',
    before: [
      session({ position: MOUNTED }),
      log(
        'time [s],lat [deg],lon [deg],acc_long [m/s2]',
        ...Array.from(
          { length: 12 },
          (_, i) => `${(i / 10).toFixed(1)},43.3608000,${(4.7612 + i * 0.0000371).toFixed(7)},-0.2`,
        ),
      ),
    ],
    cure: 'Look into the data sheet of the sensor, or at a steady bend: level axes show about 1 g across at 45° of lean, body axes nearly none. Then add `axes:`.',
    after: [session({ position: MOUNTED, axes: 'level' })],
    acceptable: true,
    accept: 'Reasonable where the channels are not needed.',
  },
  CHANNEL_IMPLAUSIBLE: {
    severities: ['warn'],
    meaning:
      'A channel holds values that its quantity cannot have: a lean beyond 70° in more than one row of a hundred. Usually the unit is wrong, or the column holds something else under a familiar name.',
    cost: 'The channel is not used. Without lean the height of the antenna is not removed, body axes are not levelled, and the pages show no lean.',
    before: [leaning('rad')],
    cure: 'Give the unit that the logger writes, in the heading or under `columns:` in the session file.',
    after: [leaning('deg')],
    acceptable: true,
    accept: 'Reasonable where the column is known to be something else and lean is not needed.',
  },
  FRAME_MISSING: {
    severities: ['stop'],
    meaning:
      'The log has positions in metres of its own, as simulators do, and the circuit is in degrees. Where on earth those metres lie cannot be told from a lap: riding on another line would look like another place.',
    cost: 'The run has no laps.',
    before: [session({ stage: 'simulation' })],
    cure: 'Export the circuit from the simulator too, in the same metres, and put it beside the log (`gapbook new circuit --edges left.csv,right.csv`). It is laid over the campaign’s circuit, and the log with it.',
    after: [
      session({ stage: 'simulation', frame: '{ circuit: sim-circuit.geojson }' }),
      circuit('sim-circuit.geojson'),
    ],
    acceptable: true,
    accept: 'Only to keep the run on record without its laps.',
  },
  FRAME_RESIDUAL: {
    severities: ['stop'],
    meaning:
      'The circuit in the coordinates of the log was laid over the campaign’s by turning and moving it, and the lines stay more than 0.3 m apart (root mean square). They are not the same circuit, not the same layout, or not at the same scale.',
    cost: 'The run has no laps: at 50 m/s a metre is 20 ms, so a lap on another circuit would give a gap that nobody rode.',
    before: [
      session({ stage: 'simulation', frame: '{ circuit: sim-circuit.geojson }' }),
      circuit('sim-circuit.geojson', { factor: 3.2808 }),
    ],
    cure: 'Compare the lengths of both lines first. In the example the simulator works in feet. If the survey of the simulator is older than the last rebuilding of the circuit, it needs a new one.',
    after: [circuit('sim-circuit.geojson')],
    acceptable: true,
    accept: 'Only to keep the run on record without its laps.',
  },
  CLOSURE: {
    severities: ['warn'],
    meaning:
      'For each section the time was computed twice, once from positions and once from speed and path. In a section of a valid lap the two disagree by more than their uncertainty. The worst section is named.',
    cost: 'Times come from positions and stand. The speeds that are shown are in doubt, such as the lowest and the one at the exit, and so are events that are read from speed.',
    before: [session({ position: MOUNTED, columns: '\n  speed: { from: Speed, unit: "km/h" }' })],
    cure: 'If all sections differ by one factor, the unit is wrong: here the dash shows miles. If only bends differ, it is a wheel speed that over-reads in lean, since a leaning tyre rolls on a smaller circle: prefer the receiver’s. A latency or an antenna that is not given shows in the same way.',
    after: [session({ position: MOUNTED, columns: '\n  speed: { from: Speed, unit: "[mi_i]/h" }' })],
    acceptable: true,
    accept: 'Reasonable for a wheel speed with a known error, where the receiver’s speed was not logged.',
  },
  PLAN_LINE: {
    severities: ['warn'],
    meaning:
      'The planned offset (`target_offset`) and the ridden one lie more than 1.5 m apart in the median of a lap. No robot follows its plan that badly for a whole lap: the plan counts from another line than the circuit’s reference line, or to the other side.',
    cost: 'Plan and execution are not told apart. Lap times, gaps and the ledger do not depend on it.',
    before: [session({ position: MOUNTED, columns: '\n  target_offset: { from: Lateral target, unit: m }' })],
    cure: 'Offsets are positive to the left of travel. If the robot counts to the right, add `negate: true`, as here. If it plans on a line of its own, give the circuit that line.',
    after: [
      session({ position: MOUNTED, columns: '\n  target_offset: { from: Lateral target, unit: m, negate: true }' }),
    ],
    acceptable: true,
    accept: 'Reasonable where the split into plan and execution is not needed.',
  },
};
