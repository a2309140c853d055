import type { Course, NamedBend } from './course.ts';
import { handlingOf, speedCaps, windows } from './handling.ts';
import { aimedOffset, wandering } from './offsets.ts';
import { PIT } from './pitLane.ts';
import { type BendStyle, type Rider, styleIn } from './rider.ts';
import { type RunPath, runPath } from './runPath.ts';
import { type Seeded, seeded } from './seeded.ts';
import { type Handling, type SpeedProfile, speedProfile } from './speedProfile.ts';

/** Standstill before the start and after the stop, s. */
const WAIT_S = 4;

/** What is ridden on one run. */
export interface Ride {
  readonly course: Course;
  readonly bends: readonly NamedBend[];
  readonly rider: Rider;
  /** Complete laps from gate to gate. */
  readonly laps: number;
  /** `pit`: from standstill in the pit lane, a lap before the first crossing. `rolling`: at speed before the gate. `grid`: from standstill at the gate. */
  readonly start: 'pit' | 'rolling' | 'grid';
  /** `pit`: a lap after the last crossing, to standstill in the pit lane. `rolling`: the log ends just after the gate. A number: stops that many metres after it. */
  readonly end: 'pit' | 'rolling' | number;
  readonly pitOffsetM?: number;
  /** Where riding is slow for another reason; `lap` 0 is before the first crossing. Out of control of the robot: mode 0. */
  readonly slow?: readonly SlowZone[];
  readonly capMps?: number;
  /** Speed and place (negative: before the gate) of a rolling start. */
  readonly startMps?: number;
  readonly startM?: number;
  readonly seed: string;
  /** Without lap-to-lap scatter and wandering. */
  readonly steady?: boolean;
}

/** A stretch that is ridden slowly; somebody has the robot out of control from `takenM` to `toM`. */
export interface SlowZone {
  readonly lap: number;
  readonly takenM: number;
  readonly fromM: number;
  readonly toM: number;
  readonly mps: number;
  /** The robot slowed by itself and stayed in control. */
  readonly own?: boolean;
}

/** A ridden run as exact functions of the node; time is piecewise quadratic between nodes. */
export interface Ridden {
  readonly path: RunPath;
  readonly profile: SpeedProfile;
  readonly plan: {
    readonly offset: Float64Array;
    readonly speed: Float64Array;
    readonly lapTimesS: readonly number[];
  } | null;
  readonly speed: Float64Array;
  /** Seconds from the start of the log. */
  readonly time: Float64Array;
  readonly endS: number;
  readonly mode: Uint8Array;
  readonly crossingsS: readonly number[];
  readonly lapTimesS: readonly number[];
  /** What was drawn for each bend, lap by lap from lap 1 on. */
  readonly styles: readonly Readonly<Record<string, BendStyle>>[];
  /** Time at a station of a lap; lap 1 begins at the first crossing. */
  readonly timeAtStation: (lap: number, stationM: number) => number;
}

/** Rides a run. Nothing is measured yet: see `sense`. */
export function ride(spec: Ride): Ridden {
  const { course, rider } = spec;
  const h = course.stepM;
  const node = (m: number) => Math.round(m / h);
  const first =
    spec.start === 'pit' ? node(PIT.boxM) - course.count : node(spec.startM ?? (spec.start === 'grid' ? -12 : -150));
  const end = spec.laps * course.count;
  const last =
    spec.end === 'pit' ? end + course.count + node(PIT.boxM) : end + node(spec.end === 'rolling' ? 140 : spec.end);
  const n = last - first + 1;
  const lapOf = (i: number) => Math.floor((first + i) / course.count) + 1;
  const stationOf = (i: number) => first + i - (lapOf(i) - 1) * course.count;

  const random = seeded(`${spec.seed}/ride`);
  const aimed = aimedOffset(spec, first, n);
  const planPath = runPath(course, first, aimed);
  const errors = spec.steady === true ? new Float64Array(n) : wandering(spec, first, planPath, random);
  const path = runPath(
    course,
    first,
    aimed.map((value, i) => value + errors[i]!),
  );

  const lapsSpanned = lapOf(n - 1) - lapOf(0) + 1;
  const styles = Array.from({ length: lapsSpanned }, () =>
    Object.fromEntries(spec.bends.map((bend) => [bend.name, drawn(spec, styleIn(rider, bend.name), random)])),
  );
  const firstLap = lapOf(0);
  const caps = speedCaps(spec, first, n);
  const riding = windows(spec, course, 'riding');
  const braking = windows(spec, course, 'braking');
  type StyleOf = (i: number, bend: string) => BendStyle;
  const handling = (style: StyleOf, shiftS: number, cap: Float64Array): Handling => {
    const by = (window: Uint16Array) => (i: number) => style(i, spec.bends[window[stationOf(i)]!]?.name ?? '');
    const of = { style: by(riding), braking: by(braking) };
    return handlingOf(spec, { first, n, ...of, shiftS, cap, smoothS: rider.smoothS, lapOf });
  };
  const profile = speedProfile(
    rider.machine,
    path,
    handling((i, bend) => styles[lapOf(i) - firstLap]![bend] ?? rider.style, rider.shiftS, caps.ridden),
  );
  const speed = profile.energy.map((e) => Math.sqrt(2 * Math.max(0, e)));
  const time = clock(path, profile.energy, spec.start === 'rolling' ? 0 : WAIT_S);

  const at = (profileTime: Float64Array, lap: number) => profileTime[(lap - 1) * course.count - first]!;
  const crossed = Array.from({ length: spec.laps + 1 }, (_, k) => k + 1).filter(
    (lap) => (lap - 1) * course.count >= first,
  );
  const crossingsS = crossed.map((lap) => at(time, lap));
  const laps = (t: Float64Array) => crossed.slice(1).map((lap) => at(t, lap) - at(t, lap - 1));

  let plan: Ridden['plan'] = null;
  if (rider.plan) {
    const intent = rider.plan;
    const planned = speedProfile(
      rider.machine,
      planPath,
      handling((_, bend) => styleIn(intent, bend), intent.shiftS, caps.planned),
    );
    const plannedTime = clock(planPath, planned.energy, 0);
    plan = {
      offset: aimed,
      speed: planned.energy.map((e) => Math.sqrt(2 * Math.max(0, e))),
      lapTimesS: laps(plannedTime),
    };
  }
  return {
    path,
    profile,
    plan,
    speed,
    time,
    endS: time[n - 1]! + (spec.end === 'rolling' ? 0 : WAIT_S),
    mode: caps.mode,
    crossingsS,
    lapTimesS: laps(time),
    styles: styles.slice(Math.max(0, 1 - firstLap)),
    timeAtStation: (lap, stationM) => {
      const position = (lap - 1) * course.count - first + stationM / h;
      const i = Math.min(n - 2, Math.max(0, Math.floor(position)));
      return time[i]! + timeWithin(path, profile.energy, i, position - i);
    },
  };
}

/** A style as it comes out on one lap. */
function drawn(spec: Ride, style: BendStyle, random: Seeded): BendStyle {
  const s = spec.rider.scatter;
  const draw = (sd: number) => {
    const value = Math.max(-2.2, Math.min(2.2, random.normal()));
    return spec.steady === true ? 0 : sd * value;
  };
  return {
    ...style,
    gripUse: style.gripUse * (1 + draw(s.gripUse)),
    brakeUse: style.brakeUse * (1 + draw(s.brakeUse)),
    driveUse: Math.min(1, style.driveUse * (1 + draw(s.driveUse))),
    earlyM: Math.max(0, style.earlyM + draw(s.earlyM)),
    lateM: Math.max(0, style.lateM + draw(s.lateM)),
  };
}

/** Seconds at every node: constant acceleration along the path from node to node, exactly. */
function clock(path: RunPath, energy: Float64Array, startS: number): Float64Array {
  const time = new Float64Array(path.count);
  time[0] = startS;
  for (let i = 1; i < path.count; i++) time[i] = time[i - 1]! + timeWithin(path, energy, i - 1, 1);
  return time;
}

/** Seconds from node i over a share of the way to the next. */
function timeWithin(path: RunPath, energy: Float64Array, i: number, share: number): number {
  const length = (path.stepM * (path.pathPerStation[i]! + path.pathPerStation[i + 1]!)) / 2;
  const [e0, e1] = [Math.max(0, energy[i]!), Math.max(0, energy[i + 1]!)];
  const mean = Math.sqrt(2 * e0) + Math.sqrt(2 * (e0 + (e1 - e0) * share));
  return mean === 0 ? 0 : (2 * length * share) / mean;
}
