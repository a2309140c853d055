import type { Log } from '../align/laidLog.ts';
import type { Course } from '../simulator/course.ts';

/** One corner of a speed profile in closed form: braked at a constant rate down to a speed that is held, then driven out. */
export interface Slow {
  readonly fromM: number;
  readonly toM: number;
  readonly mps: number;
}

export interface Profile {
  readonly topMps: number;
  readonly brakingMps2: number;
  readonly driveMps2: number;
  readonly slow: readonly Slow[];
}

/** Speed at a station: the least of what each corner, before, in and behind it, allows (v² = v₀² + 2 a s). */
export function speedAt({ topMps, brakingMps2, driveMps2, slow }: Profile, stationM: number, lengthM: number): number {
  let least = topMps;
  for (const { fromM, toM, mps } of slow)
    for (const lap of [-lengthM, 0, lengthM]) {
      const before = fromM + lap - stationM;
      const behind = stationM - (toM + lap);
      const square = mps * mps + 2 * (before > 0 ? brakingMps2 * before : behind > 0 ? driveMps2 * behind : 0);
      least = Math.min(least, Math.sqrt(square));
    }
  return least;
}

/** Where the brakes go on for a corner that is reached at top speed. */
export function onsetOf({ topMps, brakingMps2 }: Profile, { fromM, mps }: Slow): number {
  return fromM - (topMps ** 2 - mps ** 2) / (2 * brakingMps2);
}

/**
 * A log of three rounds on the course's line at the speeds of a profile, with channels that depend on the station.
 *
 * @param channels name -> value at a station of the lap, m
 */
export function profileLog(
  course: Course,
  profile: Profile,
  channels: Readonly<Record<string, (stationM: number) => number>>,
  rateHz = 100,
): Log {
  const { lengthM, stepM, count } = course;
  const stations: number[] = [];
  const fineM = 0.01;
  let t = 0;
  for (let s = -60; s < 2 * lengthM + 60; s += fineM) {
    if (t * rateHz >= stations.length) stations.push(s);
    t += fineM / speedAt(profile, (s + fineM / 2 + lengthM) % lengthM, lengthM);
  }
  const on = (s: number): number => ((s % lengthM) + lengthM) % lengthM;
  const place = (values: Float64Array, s: number): number => {
    const at = on(s) / stepM;
    const i = Math.floor(at);
    return values[i % count]! + (at - i) * (values[(i + 1) % count]! - values[i % count]!);
  };
  const rows: Record<string, Float64Array> = {
    time: Float64Array.from(stations, (_, i) => i / rateHz),
    east: Float64Array.from(stations, (s) => place(course.x, s)),
    north: Float64Array.from(stations, (s) => place(course.y, s)),
    speed: Float64Array.from(stations, (s) => speedAt(profile, on(s), lengthM)),
  };
  for (const [name, of] of Object.entries(channels)) rows[name] = Float64Array.from(stations, (s) => of(on(s)));
  return {
    rows,
    stationM: Float64Array.from(stations),
    offsetM: new Float64Array(stations.length),
    momentS: rows['time']!.slice(),
  };
}
