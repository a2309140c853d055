import type { Motion } from './motion.ts';
import { type Place, planeToEarth } from './planeToEarth.ts';
import type { Ridden } from './ride.ts';
import type { Plan } from './rider.ts';
import { seeded } from './seeded.ts';
import { stateAt } from './stateAt.ts';

/** What is carried and how it measures. Everything is zero or absent for perfect sensors. */
export interface Sensors {
  readonly rateHz: number;
  /** Fresh positions per second; the last one is repeated in between. The log's own rate where absent. */
  readonly positionHz?: number;
  /** Positions show where the antenna was this long ago. */
  readonly latencyS?: number;
  /** m forward, left and up of the ground point below the mass centre, machine upright. */
  readonly antenna?: readonly [number, number, number];
  /** Axes of accelerations and rates. */
  readonly axes?: 'body' | 'level';
  readonly positionNoiseM?: number;
  /** Slow wandering of the position: standard deviation, and the time over which it forgets. */
  readonly driftM?: number;
  readonly driftS?: number;
  readonly speedNoiseMps?: number;
  readonly accNoiseMps2?: number;
  readonly rollNoiseRad?: number;
  readonly rateNoiseRadps?: number;
  /** Stamp of the first row. */
  readonly clockS?: number;
  /** Stretches of the log's clock in which no row was written. */
  readonly holes?: readonly (readonly [number, number])[];
  /** Stretches in which the receiver repeats its last position. */
  readonly stale?: readonly (readonly [number, number])[];
}

/** A log in memory: channels by name, SI, signs of ISO 8855, headings counter-clockwise from east. All of one length. */
export type Rows = Readonly<Record<string, Float64Array>>;

/** A log and, row by row, where the machine really was. */
export interface Sensed {
  readonly rows: Rows;
  readonly stationOfRow: Float64Array;
  readonly offsetOfRow: Float64Array;
}

/**
 * Measures a ridden run. Positions are those of the antenna, which leans and turns with the machine.
 * @param origin where the plane of the course touches the ellipsoid; without it there are no lat, lon, alt
 */
export function sense(
  run: Ridden,
  motion: Motion,
  sensors: Sensors,
  seed: string,
  origin?: Place,
  plan?: Plan,
): Sensed {
  const { rateHz, clockS = 0, latencyS = 0 } = sensors;
  const all = Math.floor(run.endS * rateHz) + 1;
  const kept: number[] = [];
  for (let k = 0; k < all; k++) {
    const stamp = clockS + k / rateHz;
    if (!(sensors.holes ?? []).some(([from, to]) => stamp >= from && stamp < to)) kept.push(k);
  }
  const n = kept.length;
  const rows: Record<string, Float64Array> = {};
  const channel = (name: string) => (rows[name] = new Float64Array(n));
  const stationOfRow = new Float64Array(n);
  const offsetOfRow = new Float64Array(n);
  const at = (values: Float64Array, node: number) => {
    const i = Math.min(values.length - 2, Math.max(0, Math.floor(node)));
    return values[i]! + (values[i + 1]! - values[i]!) * (node - i);
  };

  // positions: one antenna place per fix, drifting and noisy, then held until the next
  const noise = seeded(`${seed}/position`);
  const every = Math.max(1, Math.round(rateHz / (sensors.positionHz ?? rateHz)));
  const { driftM = 0, driftS = 60, positionNoiseM = 0 } = sensors;
  const forget = Math.exp(-every / rateHz / driftS);
  let [driftE, driftN] = [noise.normal() * driftM, noise.normal() * driftM];
  const fixes: [number, number, number][] = [];
  for (let k = 0; k < all; k += every) {
    const stamp = clockS + k / rateHz;
    driftE = driftE * forget + noise.normal() * driftM * Math.sqrt(1 - forget * forget);
    driftN = driftN * forget + noise.normal() * driftM * Math.sqrt(1 - forget * forget);
    const [e, north, up] = antennaAt(run, motion, k / rateHz - latencyS, sensors.antenna ?? [0, 0, 0], at);
    const jitter = [noise.normal(), noise.normal(), noise.normal()] as const;
    const stuck = fixes.length > 0 && (sensors.stale ?? []).some(([from, to]) => stamp >= from && stamp < to);
    fixes.push(
      stuck
        ? fixes.at(-1)!
        : [
            e + driftE + positionNoiseM * jitter[0],
            north + driftN + positionNoiseM * jitter[1],
            up + 1.6 * positionNoiseM * jitter[2],
          ],
    );
  }
  const [time, east, north] = [channel('time'), channel('east'), channel('north')];
  const [lat, lon, alt] = origin ? [channel('lat'), channel('lon'), channel('alt')] : [];
  const places = origin ? fixes.map(([e, nn, up]) => planeToEarth(origin, e, nn, up)) : [];
  kept.forEach((k, row) => {
    time[row] = clockS + k / rateHz;
    const fix = Math.floor(k / every);
    east[row] = fixes[fix]![0];
    north[row] = fixes[fix]![1];
    if (!lat || !lon || !alt) return;
    lat[row] = places[fix]!.latDeg;
    lon[row] = places[fix]!.lonDeg;
    alt[row] = places[fix]!.altM;
  });

  const random = seeded(`${seed}/sensors`);
  const jitter = (sd = 0) => (sd === 0 ? 0 : sd * random.normal());
  const speed = channel('speed');
  const direct = {
    throttle: motion.throttle,
    brake_front: motion.brakeFront,
    brake_rear: motion.brakeRear,
    engine_speed: motion.engineSpeed,
    steer_torque: motion.steerTorque,
    wheel_speed_front: motion.wheelFront,
    wheel_speed_rear: motion.wheelRear,
  };
  for (const name of Object.keys(direct)) channel(name);
  for (const name of [
    'heading',
    'roll',
    'pitch',
    'acc_long',
    'acc_lat',
    'acc_vert',
    'roll_rate',
    'pitch_rate',
    'yaw_rate',
    'gear',
    'clutch',
    'mode',
  ])
    channel(name);
  if (run.plan) for (const name of ['target_speed', 'target_offset']) channel(name);
  kept.forEach((k, row) => {
    const t = k / rateHz;
    const put = (name: string, value: number) => {
      rows[name]![row] = value;
    };
    const state = stateAt(run, t);
    const { node } = state;
    stationOfRow[row] = state.stationM;
    offsetOfRow[row] = at(run.path.offset, node);
    const moving = state.speed > 0;
    speed[row] = Math.max(0, state.speed + (moving ? jitter(sensors.speedNoiseMps) : 0));
    for (const [name, values] of Object.entries(direct)) rows[name]![row] = at(values, node);
    if (!moving) for (const name of ['throttle', 'brake_front', 'brake_rear', 'steer_torque']) rows[name]![row] = 0;
    put('heading', at(run.path.heading, node));
    const roll = at(motion.roll, node);
    const pitch = at(motion.pitch, node);
    put('roll', roll + jitter(sensors.rollNoiseRad));
    put('pitch', pitch + jitter((sensors.rollNoiseRad ?? 0) / 2));
    const level = [
      moving ? at(motion.accLong, node) : 0,
      moving ? at(motion.accLat, node) : 0,
      moving ? at(motion.accVert, node) : 9.80665,
    ] as const;
    const rates = moving
      ? ([at(motion.rollRate, node), at(motion.pitchRate, node), at(motion.yawRate, node)] as const)
      : ([0, 0, 0] as const);
    const body = sensors.axes === 'body';
    const acc = body ? intoBody(level, roll, pitch) : level;
    const rate = body ? bodyRates(rates, roll, pitch) : rates;
    ['acc_long', 'acc_lat', 'acc_vert'].forEach((name, axis) => {
      rows[name]![row] = acc[axis]! + jitter(sensors.accNoiseMps2);
    });
    ['roll_rate', 'pitch_rate', 'yaw_rate'].forEach((name, axis) => {
      rows[name]![row] = rate[axis]! + jitter(sensors.rateNoiseRadps);
    });
    const i = Math.round(node);
    put('gear', moving ? run.profile.gear[i]! : 1);
    put('clutch', moving ? at(motion.clutch, node) : 1);
    put('mode', run.mode[i]!);
    if (run.plan) {
      put('target_speed', moving ? at(run.plan.speed, node) : 0);
      put('target_offset', at(run.plan.offset, node));
    }
  });
  if (plan)
    for (const name of ['throttle', 'brake_front'])
      rows[`${name}_cmd`] = command(run, direct[name as 'throttle'], kept, rateHz, plan, at);
  if ((sensors.positionNoiseM ?? 0) > 0)
    channel('position_sigma').fill(Math.hypot(sensors.positionNoiseM ?? 0, sensors.driftM ?? 0));
  return { rows, stationOfRow, offsetOfRow };
}

type At = (values: Float64Array, node: number) => number;

/** Where the antenna is: its arm is leant (about the line of the wheels), pitched and turned with the machine. */
function antennaAt(
  run: Ridden,
  motion: Motion,
  t: number,
  arm: readonly [number, number, number],
  at: At,
): [number, number, number] {
  const { node, x, y } = stateAt(run, t);
  const [roll, pitch, heading] = [at(motion.roll, node), at(motion.pitch, node), at(run.path.heading, node)];
  const [f, l, u] = arm;
  const left = l * Math.cos(roll) - u * Math.sin(roll);
  const high = l * Math.sin(roll) + u * Math.cos(roll);
  const ahead = f * Math.cos(pitch) + high * Math.sin(pitch);
  const up = -f * Math.sin(pitch) + high * Math.cos(pitch);
  return [
    x + ahead * Math.cos(heading) - left * Math.sin(heading),
    y + ahead * Math.sin(heading) + left * Math.cos(heading),
    at(run.path.altitude, node) + up,
  ];
}

type Three = readonly [number, number, number];

/** A level vector as a sensor feels it that is pitched and leant with the machine (ISO 8855 order yaw, pitch, roll). */
function intoBody([x, y, z]: Three, roll: number, pitch: number): Three {
  const [cp, sp, cr, sr] = [Math.cos(pitch), Math.sin(pitch), Math.cos(roll), Math.sin(roll)];
  const z1 = x * sp + z * cp;
  return [x * cp - z * sp, y * cr + z1 * sr, -y * sr + z1 * cr];
}

/** Rates of roll, pitch and yaw angles as rates about the machine's own axes. */
function bodyRates([p, q, r]: Three, roll: number, pitch: number): Three {
  const [cp, sp, cr, sr] = [Math.cos(pitch), Math.sin(pitch), Math.cos(roll), Math.sin(roll)];
  return [p - r * sp, q * cr + r * sr * cp, -q * sr + r * cr * cp];
}

/** The command that an actuator with dead time and lag must have been given to do what it did. */
function command(
  run: Ridden,
  done: Float64Array,
  kept: readonly number[],
  rateHz: number,
  plan: Plan,
  at: At,
): Float64Array {
  const value = (t: number) => {
    const state = stateAt(run, t);
    return state.speed > 0 ? at(done, state.node) : 0;
  };
  const most = done.reduce((a, b) => Math.max(a, b), 0);
  return Float64Array.from(kept, (k) => {
    const t = k / rateHz + plan.deadS;
    const now = value(t);
    const rising = (value(t + 0.02) - value(t - 0.02)) / 0.04;
    return Math.min(most, Math.max(0, now + plan.lagS * rising));
  });
}
