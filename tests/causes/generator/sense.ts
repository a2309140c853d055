import type { CoursePoint } from './course.ts';
import { type Draws, draws } from './draws.ts';
import type { Ride } from './ride.ts';
import { GRAVITY_MPS2 } from './rider.ts';

/** A session logger as it is bolted on, and how well its session file knows it. */
export interface Logger {
  readonly rateHz: number;
  /** m forward, left, up of the ground point below the mass centre. */
  readonly armM: readonly [number, number, number];
  /** Positions are this old when they are written, s. */
  readonly latencyS: number;
  /** Other channels are this old: speed, controls, inertial ones, s. */
  readonly speedLagS: number;
  readonly controlLagS: number;
  readonly inertialLagS: number;
  /** What the session file says. */
  readonly toldArmM: readonly [number, number, number];
  readonly toldLatencyS: number;
  /** 0 for sensors without noise; noise of a real one is 1. */
  readonly noise: number;
}

/** A logger that knows everything at once: at the ground point, without lag or noise. */
export const PERFECT: Logger = {
  rateHz: 100,
  armM: [0, 0, 0],
  toldArmM: [0, 0, 0],
  latencyS: 0,
  toldLatencyS: 0,
  speedLagS: 0,
  controlLagS: 0,
  inertialLagS: 0,
  noise: 0,
};

/** The log of a ride: plain columns in SI, axes of the body, signs of ISO 8855. */
export type Columns = Readonly<Record<string, Float64Array>>;

/** Noise of one sample, one standard deviation. */
const POSITION_WHITE_M = 0.012;
const POSITION_SLOW_M = 0.016;
const POSITION_FORGETS_S = 2;
const SPEED_MPS = 0.05;
const ACCELERATION_MPS2 = 0.5;
const ROLL_RAD = 0.004;
const ROLL_BIAS_RAD = 0.005;
const RATE_RADPS = 0.012;
const THROTTLE = 0.003;
const BRAKE_PA = 6e3;
const BRAKE_ZERO_PA = 1.2e4;
const ALTITUDE_M = 0.04;
/** Tyres are round: a machine leans more than its mass alone needs. */
const LEAN_GAIN = 1.07;

/** A machine at one moment. */
interface Moment {
  eastM: number;
  northM: number;
  altM: number;
  headingRad: number;
  speedMps: number;
  acceleration: number;
  across: number;
  roll: number;
  yawRate: number;
  climb: number;
  throttle: number;
  brake: number;
  gear: number;
}

/**
 * Logs a ride from a while before the first gate to a while behind the second.
 *
 * @param seed of the noise
 */
export function logOf(ride: Ride, logger: Logger, seed: string): Columns {
  const random = draws(seed);
  const { rateHz, armM, latencyS, noise } = logger;
  const { timeS } = ride;
  const first = timeS[0]! + 0.3;
  const last = timeS.at(-1)! - 0.3;
  const phase = random.uniform() / rateHz;
  const clock = Math.round(random.between(20, 900));
  const count = Math.floor((last - first - phase) * rateHz);
  const now = new Reader(ride);
  const names = [
    'time',
    'east',
    'north',
    'alt',
    'speed',
    'acc_long',
    'acc_lat',
    'acc_vert',
    'roll',
    'roll_rate',
    'yaw_rate',
    'throttle',
    'brake_front',
    'gear',
  ] as const;
  const columns = Object.fromEntries(names.map((name) => [name, new Float64Array(count)])) as Record<
    (typeof names)[number],
    Float64Array
  >;
  const rollBias = noise * ROLL_BIAS_RAD * random.normal();
  const brakeZero = noise * BRAKE_ZERO_PA * random.uniform();
  const east = wandering(random, rateHz);
  const north = wandering(random, rateHz);
  for (let i = 0; i < count; i++) {
    const t = first + phase + i / rateHz;
    columns.time[i] = clock + i / rateHz;

    const there = now.at(t - latencyS);
    const [cos, sin] = [Math.cos(there.headingRad), Math.sin(there.headingRad)];
    const aside = armM[1] * Math.cos(there.roll) - armM[2] * Math.sin(there.roll);
    columns.east[i] = there.eastM + armM[0] * cos - aside * sin + noise * east();
    columns.north[i] = there.northM + armM[0] * sin + aside * cos + noise * north();
    columns.alt[i] = there.altM + armM[2] * Math.cos(there.roll) + noise * ALTITUDE_M * random.normal();

    columns.speed[i] = now.at(t - logger.speedLagS).speedMps + noise * SPEED_MPS * random.normal();

    const felt = now.at(t - logger.inertialLagS);
    const [leanCos, leanSin] = [Math.cos(felt.roll), Math.sin(felt.roll)];
    const shake = (): number => noise * ACCELERATION_MPS2 * random.normal();
    columns.acc_long[i] = felt.acceleration + felt.climb + shake();
    columns.acc_lat[i] = felt.across * leanCos + GRAVITY_MPS2 * leanSin + shake();
    columns.acc_vert[i] = GRAVITY_MPS2 * leanCos - felt.across * leanSin + shake();
    columns.roll[i] = felt.roll + rollBias + noise * ROLL_RAD * random.normal();
    columns.yaw_rate[i] = felt.yawRate * leanCos + noise * RATE_RADPS * random.normal();
    const [later, earlier] = [now.rollAt(t - logger.inertialLagS + 0.01), now.rollAt(t - logger.inertialLagS - 0.01)];
    columns.roll_rate[i] = (later - earlier) / 0.02 + noise * RATE_RADPS * random.normal();

    const hand = now.at(t - logger.controlLagS);
    const grip = hand.throttle + noise * THROTTLE * random.normal();
    columns.throttle[i] = Math.round(Math.min(1, Math.max(0, grip)) * 500) / 500;
    columns.brake_front[i] = hand.brake + brakeZero + noise * BRAKE_PA * random.normal();
    columns.gear[i] = hand.gear;
  }
  return columns;
}

/** Noise of a position: part of it white, part of it a slow wandering. */
function wandering(random: Draws, rateHz: number): () => number {
  const keep = Math.exp(-1 / (POSITION_FORGETS_S * rateHz));
  let slow = POSITION_SLOW_M * random.normal();
  return () => {
    slow = keep * slow + Math.sqrt(1 - keep * keep) * POSITION_SLOW_M * random.normal();
    return slow + POSITION_WHITE_M * random.normal();
  };
}

/** Reads a ride at any moment; quickest where moments come in order. */
class Reader {
  readonly #ride: Ride;
  readonly #point: CoursePoint;
  readonly #offset: [number, number, number] = [0, 0, 0];
  readonly #moment: Moment = {
    eastM: 0,
    northM: 0,
    altM: 0,
    headingRad: 0,
    speedMps: 0,
    acceleration: 0,
    across: 0,
    roll: 0,
    yawRate: 0,
    climb: 0,
    throttle: 0,
    brake: 0,
    gear: 0,
  };
  #node = 0;

  constructor(ride: Ride) {
    this.#ride = ride;
    this.#point = ride.path.course.at(0);
  }

  /** The same object is filled at every call. */
  at(t: number): Moment {
    const { ride, share, station, speed } = this.#place(t);
    const { path } = ride;
    const i = this.#node;
    const between = (values: Float64Array): number => values[i]! + share * (values[i + 1]! - values[i]!);
    const { course } = path;
    const { eastM, northM, headingRad, curvaturePerM } = course.at(station, this.#point);
    const [n, slope] = path.offset(station, this.#offset);
    const bent = path.curvature(station);
    const m = this.#moment;
    m.eastM = eastM - n * Math.sin(headingRad);
    m.northM = northM + n * Math.cos(headingRad);
    m.altM = course.heightM(station);
    m.headingRad = headingRad + Math.atan2(slope, 1 - n * curvaturePerM);
    m.speedMps = speed;
    m.acceleration = between(ride.accelerationMps2);
    m.across = speed * speed * bent;
    m.roll = leanOf(m.across);
    m.yawRate = speed * bent;
    m.climb = path.climb(station);
    m.throttle = between(ride.throttle);
    m.brake = between(ride.brakePa);
    m.gear = ride.gear[i]!;
    return m;
  }

  rollAt(t: number): number {
    const { ride, station, speed } = this.#place(t);
    return leanOf(speed * speed * ride.path.curvature(station));
  }

  #place(t: number): { ride: Ride; share: number; station: number; speed: number } {
    const ride = this.#ride;
    const { timeS, stationM, speedMps } = ride;
    let i = this.#node;
    while (i > 0 && timeS[i]! > t) i--;
    while (i < timeS.length - 2 && timeS[i + 1]! <= t) i++;
    this.#node = i;
    const [t0, t1] = [timeS[i]!, timeS[i + 1]!];
    const share = (t - t0) / (t1 - t0);
    const speed = speedMps[i]! + share * (speedMps[i + 1]! - speedMps[i]!);
    // Acceleration is even within a node's step: the way is quadratic in time, and meets the next node.
    const mean = (speedMps[i]! + speedMps[i + 1]!) / 2;
    const way = (share * (speedMps[i]! + speed)) / 2 / mean;
    return { ride, share, station: stationM[i]! + way * (stationM[i + 1]! - stationM[i]!), speed };
  }
}

/** Positive leaning right: in a left bend, with a pull to the left, it is negative. */
function leanOf(across: number): number {
  return -LEAN_GAIN * Math.atan(across / GRAVITY_MPS2);
}
