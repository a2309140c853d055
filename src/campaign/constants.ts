import { ASSUMED_HALF_WIDTH_M, EDGE_MARGIN_M, POSITION_LIMIT_M, POSITION_LIMIT_S } from '../align/alignLap.ts';
import { TIE_WINDOW_S } from '../align/alignRun.ts';
import { COMPOUND_S, CORNER_OFF_MPS2, CORNER_ON_MPS2, CORNER_TURN_RAD } from '../circuit/corners.ts';
import { CLOSURE_S, CLOSURE_SHARE } from '../gap/closure.ts';
import { MOST_LEAN_RAD } from '../laps/believableLean.ts';
import {
  HOLE_ACCELERATION_MPS2,
  HOLE_ERROR_S,
  STANDING_MPS,
  STANDING_SHARE,
  STANDING_START_S,
  STOOD_STILL_S,
} from '../laps/laps.ts';
import {
  ASSUMED_POSITION_SIGMA_M,
  KNOWN_ARM_SIGMA_M,
  SIMULATED_POSITION_SIGMA_M,
  UNKNOWN_ARM_SIGMA_M,
} from '../laps/trace.ts';
import {
  BRAKE_LEAST_MPS,
  BRAKE_ON_PA,
  BRAKE_ON_S,
  BRAKE_ON_SHARE,
  BRAKE_PAUSE_S,
  BRAKING_MPS2,
  CLOSED_SHARE,
  DRAG_PER_M,
  ENGINE_BRAKING_MPS2,
  FULL_SHARE,
  PICK_UP_MPS2,
  SLOPE_WINDOW_S,
  THROTTLE_ON_S,
} from '../technique/events.ts';
import { DRIVING_SHARE } from '../technique/pickUp.ts';
import { TRAIL_LEAN_RAD } from '../technique/technique.ts';
import { bar, degrees } from '../units.ts';
import { FRAME_RESIDUAL_M } from './alignedRun.ts';

interface MethodConstant {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly meaning: string;
  /** Part of the method that uses it. */
  readonly where: 'position' | 'circuit' | 'laps' | 'alignment' | 'gap' | 'technique';
}

const constant = (
  where: MethodConstant['where'],
  name: string,
  value: number,
  unit: string,
  meaning: string,
): MethodConstant => ({
  name,
  value,
  unit,
  meaning,
  where,
});

/** Every threshold of the method, printed on the method page from the very numbers the code uses. */
export const METHOD_CONSTANTS: readonly MethodConstant[] = [
  constant(
    'position',
    'most lean',
    degrees(MOST_LEAN_RAD),
    '°',
    'a roll channel that goes beyond in more than one row of a hundred is not used',
  ),
  constant(
    'position',
    'assumed position sigma',
    ASSUMED_POSITION_SIGMA_M,
    'm',
    'standard deviation of a position that nobody described',
  ),
  constant(
    'position',
    'simulated position sigma',
    SIMULATED_POSITION_SIGMA_M,
    'm',
    'of positions that are a simulation’s own state',
  ),
  constant(
    'position',
    'unknown arm',
    UNKNOWN_ARM_SIGMA_M,
    'm',
    'standard deviation along the machine where the antenna’s place is not given',
  ),
  constant('position', 'known arm', KNOWN_ARM_SIGMA_M, 'm', 'the same where it is given'),
  constant(
    'position',
    'frame residual',
    FRAME_RESIDUAL_M,
    'm',
    'largest distance, root mean square, of a simulator’s circuit laid over ours',
  ),
  constant(
    'circuit',
    'corner on',
    CORNER_ON_MPS2,
    'm/s²',
    'curvature times squared reference speed at which a corner begins',
  ),
  constant('circuit', 'corner off', CORNER_OFF_MPS2, 'm/s²', 'the same at which it ends'),
  constant('circuit', 'least turn', degrees(CORNER_TURN_RAD), '°', 'bends that turn less belong to a straight'),
  constant(
    'circuit',
    'compound',
    COMPOUND_S,
    's',
    'bends of one sign closer than this, with no braking or full drive between, are one corner',
  ),
  constant('laps', 'standing', STANDING_MPS, 'm/s', 'below this speed a machine stands'),
  constant('laps', 'standing share', STANDING_SHARE * 100, '%', 'of the run’s top speed, where that is less'),
  constant(
    'laps',
    'standing start',
    STANDING_START_S,
    's',
    'who stood within this time before the gate begins a standing lap',
  ),
  constant('laps', 'stood still', STOOD_STILL_S, 's', 'standing longer within a lap makes it invalid'),
  constant(
    'laps',
    'hole error',
    HOLE_ERROR_S,
    's',
    'time that a hole in the log may hide: a·h²/(8v) of a hole h at speed v',
  ),
  constant('laps', 'hole acceleration', HOLE_ACCELERATION_MPS2, 'm/s²', 'the a in it'),
  constant('laps', 'edge margin', EDGE_MARGIN_M, 'm', 'beyond an edge by more, a machine has left the course'),
  constant('laps', 'assumed half width', ASSUMED_HALF_WIDTH_M, 'm', 'where the circuit has no edges'),
  constant('laps', 'position limit', POSITION_LIMIT_M, 'm', 'a position sigma above this …'),
  constant('laps', 'position limit time', POSITION_LIMIT_S, 's', '… for longer than this makes a lap invalid'),
  constant(
    'alignment',
    'tie window',
    TIE_WINDOW_S,
    's',
    'half width of the window over which distance ridden is tied to position',
  ),
  constant('gap', 'closure', CLOSURE_S * 1000, 'ms', 'speed and position may disagree on a section’s time by this …'),
  constant(
    'gap',
    'closure share',
    CLOSURE_SHARE * 100,
    '%',
    '… or this share of it, or twice the speed’s scatter, whichever is most',
  ),
  constant('technique', 'brake on', bar(BRAKE_ON_PA), 'bar', 'line pressure above its rest that is braking'),
  constant('technique', 'brake on, share', BRAKE_ON_SHARE * 100, '%', 'the same for a brake logged in per cent'),
  constant('technique', 'brake time', BRAKE_ON_S, 's', 'shorter applications are none'),
  constant('technique', 'brake pause', BRAKE_PAUSE_S, 's', 'applications closer than this are one'),
  constant('technique', 'brake least', BRAKE_LEAST_MPS, 'm/s', 'applications that take off less are none'),
  constant(
    'technique',
    'braking by speed',
    BRAKING_MPS2,
    'm/s²',
    'deceleration beyond drag and engine braking that is braking where no brake was logged',
  ),
  constant('technique', 'drag', DRAG_PER_M * 1e4, '10⁻⁴/m', 'drag is this times squared speed'),
  constant('technique', 'engine braking', ENGINE_BRAKING_MPS2, 'm/s²', 'with the throttle closed'),
  constant(
    'technique',
    'driving',
    DRIVING_SHARE * 100,
    '%',
    'of the corner’s strongest acceleration: half way up the rise of the throttle that leads there is the pick-up',
  ),
  constant(
    'technique',
    'pick-up by speed',
    PICK_UP_MPS2,
    'm/s²',
    'acceleration that is pick-up where no throttle was logged',
  ),
  constant('technique', 'throttle time', THROTTLE_ON_S, 's', 'shorter openings are none'),
  constant('technique', 'closed', CLOSED_SHARE * 100, '%', 'throttle below this is closed'),
  constant('technique', 'full', FULL_SHARE * 100, '%', 'throttle above this share of the lap’s most is full'),
  constant('technique', 'trail lean', degrees(TRAIL_LEAN_RAD), '°', 'braking beyond this lean is trail braking'),
  constant(
    'technique',
    'slope window',
    SLOPE_WINDOW_S,
    's',
    'half width of the window in which speed and lean are differentiated',
  ),
];
