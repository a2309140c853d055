import type { Course, CoursePoint } from './course.ts';
import { GRAVITY_MPS2 } from './rider.ts';

/** A bell-shaped offset from the centre line, left positive. */
export interface Bump {
  readonly atM: number;
  readonly heightM: number;
  readonly widthM: number;
}

/** A line ridden: its offset from the centre line by station of the centre line. */
export interface Path {
  readonly course: Course;
  /** Writes offset and its first and second derivative by station. */
  offset(stationM: number, into: [number, number, number]): [number, number, number];
  /** Metres ridden per metre of station, and true curvature, by station; periodic. */
  readonly perStation: (stationM: number) => number;
  readonly curvature: (stationM: number) => number;
  /** What the slope of the road takes, m/s². */
  readonly climb: (stationM: number) => number;
}

/** Spacing of the tables, m. */
const TABLE_M = 0.1;

/**
 * The line that a sum of bumps makes. Length and curvature are those of the curve P = C + nN:
 * P′ = (1 − nκ)T + n′N, P″ = (−2n′κ − nκ′)T + (κ(1 − nκ) + n″)N, curvature = P′ × P″ / |P′|³.
 */
export function pathOf(course: Course, bumps: readonly Bump[]): Path {
  const { lengthM } = course;
  const offset = (stationM: number, into: [number, number, number]): [number, number, number] => {
    let [n, d, dd] = [0, 0, 0];
    for (const { atM, heightM, widthM } of bumps) {
      let away = stationM - atM;
      away -= lengthM * Math.round(away / lengthM);
      const x = away / widthM;
      if (Math.abs(x) > 6) continue;
      const bell = heightM * Math.exp(-(x * x) / 2);
      n += bell;
      d -= (bell * x) / widthM;
      dd += (bell * (x * x - 1)) / (widthM * widthM);
    }
    into[0] = n;
    into[1] = d;
    into[2] = dd;
    return into;
  };
  const count = Math.ceil(lengthM / TABLE_M);
  const step = lengthM / count;
  const stretch = new Float64Array(count + 1);
  const bent = new Float64Array(count + 1);
  const climb = new Float64Array(count + 1);
  const point: CoursePoint = course.at(0);
  const own: [number, number, number] = [0, 0, 0];
  for (let i = 0; i <= count; i++) {
    const s = i * step;
    const { curvaturePerM: k, curvatureSlope: slope } = course.at(s, point);
    const [n, d, dd] = offset(s, own);
    const along = 1 - n * k;
    const psi = Math.hypot(along, d);
    stretch[i] = psi;
    climb[i] = (GRAVITY_MPS2 * course.grade(s)) / psi;
    bent[i] = (along * (k * along + dd) - d * (-2 * d * k - n * slope)) / psi ** 3;
  }
  const read =
    (table: Float64Array) =>
    (stationM: number): number => {
      let x = stationM / step;
      x -= count * Math.floor(x / count);
      const i = Math.min(count - 1, Math.floor(x));
      return table[i]! + (x - i) * (table[i + 1]! - table[i]!);
    };
  return { course, offset, perStation: read(stretch), curvature: read(bent), climb: read(climb) };
}
