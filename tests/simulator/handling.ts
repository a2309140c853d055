import type { Course } from './course.ts';
import { PIT } from './pitLane.ts';
import type { Ride } from './ride.ts';
import type { BendStyle } from './rider.ts';
import { runningMeans } from './smooth.ts';
import type { Handling } from './speedProfile.ts';

/** How far before a bend its own style begins: a share of the straight before it, and at most so many metres. */
const AHEAD = { riding: { share: 0.5, mostM: 240 }, braking: { share: 0.85, mostM: 400 } } as const;

/** Index of the bend whose style holds at every station; brakes belong to the bend ahead for longer than the rest. */
export function windows(spec: Ride, course: Course, of: keyof typeof AHEAD): Uint16Array {
  const { share, mostM } = AHEAD[of];
  const joints = spec.bends.map((bend, i) => {
    const before = spec.bends[i - 1];
    const from = before ? before.toM : spec.bends.at(-1)!.toM - course.lengthM;
    return bend.fromM - Math.min((bend.fromM - from) * share, mostM);
  });
  return Uint16Array.from({ length: course.count }, (_, i) => {
    const m = i * course.stepM;
    let index = spec.bends.length - 1;
    joints.forEach((joint, k) => {
      if (m >= joint) index = k;
    });
    return index;
  });
}

/** Speed limits by node for the ridden and the planned run, and who was in control. */
export function speedCaps(
  spec: Ride,
  first: number,
  n: number,
): { ridden: Float64Array; planned: Float64Array; mode: Uint8Array } {
  const { course } = spec;
  const end = spec.laps * course.count;
  const planned = new Float64Array(n).fill(spec.capMps ?? 200);
  const mode = new Uint8Array(n).fill(1);
  for (let i = 0; i < n; i++) {
    const at = first + i;
    if (spec.start === 'pit' && (at + course.count) * course.stepM < PIT.freeM) planned[i] = PIT.limitMps;
    if (spec.end === 'pit' && (at - end - course.count) * course.stepM > PIT.slowM) planned[i] = PIT.limitMps;
  }
  const ridden = Float64Array.from(planned);
  for (const zone of spec.slow ?? [])
    for (let i = 0; i < n; i++) {
      const m = (first + i) * course.stepM - (zone.lap - 1) * course.lengthM;
      if (zone.own !== true && m >= zone.takenM && m <= zone.toM) mode[i] = 0;
      if (m < zone.fromM || m > zone.toM) continue;
      // eased in and out, so that nobody is asked for the impossible
      const ease = Math.min(1, Math.min(m - zone.fromM, zone.toM - m) / (0.35 * (zone.toM - zone.fromM)));
      ridden[i] = Math.min(ridden[i]!, zone.mps + (1 - ease) * 25);
    }
  return { ridden, planned, mode };
}

/** Spreads styles over the nodes of a run. */
export function handlingOf(
  spec: Ride,
  on: {
    readonly first: number;
    readonly n: number;
    readonly style: (i: number) => BendStyle;
    /** The style under brakes. */
    readonly braking: (i: number) => BendStyle;
    readonly shiftS: number;
    readonly smoothS: number;
    readonly cap: Float64Array;
    readonly lapOf: (i: number) => number;
  },
): Handling {
  const { course } = spec;
  const h = course.stepM;
  const of = (value: (style: BendStyle) => number, style = on.style) => {
    const raw = new Float64Array(on.n);
    for (let i = 0; i < on.n; i++) raw[i] = value(style(i));
    return runningMeans(raw, 8 / h);
  };
  const bends: { from: number; to: number; early: number; late: number }[] = [];
  for (let lap = on.lapOf(0); lap <= on.lapOf(on.n - 1); lap++)
    for (const bend of spec.bends) {
      const from = Math.round(bend.fromM / h) + (lap - 1) * course.count - on.first;
      const to = Math.round(bend.toM / h) + (lap - 1) * course.count - on.first;
      if (from < 20 || to > on.n - 20) continue;
      const style = on.style(Math.round((from + to) / 2));
      bends.push({ from, to, early: Math.round(style.earlyM / h), late: Math.round(style.lateM / h) });
    }
  return {
    gripUse: of((s) => s.gripUse),
    brakeUse: of((s) => s.brakeUse, on.braking),
    driveUse: of((s) => s.driveUse),
    brakeBlend: of((s) => s.brakeBlend, on.braking),
    rollRateRadps: of((s) => (s.rollRateDegps * Math.PI) / 180),
    rampS: of((s) => s.rampS),
    shiftAt: of((s) => s.shiftAt),
    capMps: on.cap,
    shiftS: on.shiftS,
    smoothS: on.smoothS,
    entryS: spec.rider.entryS ?? 0.3,
    downS: spec.rider.downS ?? 0.25,
    bends,
    startMps: spec.start === 'rolling' ? (spec.startMps ?? 45) : 0,
    endMps: spec.end === 'rolling' ? 200 : 0,
  };
}
