import type { Course } from './course.ts';
import type { Ground } from './speedProfile.ts';

/** The line of one run, node by node, over as many laps as it has. */
export interface RunPath extends Ground {
  /** Station counted on over the laps: 0 at the gate, L after one lap; node i at firstM + i * stepM. */
  readonly firstM: number;
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly altitude: Float64Array;
  readonly heading: Float64Array;
  readonly offset: Float64Array;
}

/** Central differences per metre of station; one-sided at the ends. */
export function slope(values: Float64Array, stepM: number): Float64Array {
  const n = values.length;
  return Float64Array.from(values, (_, i) => {
    const [a, b] = [Math.max(0, i - 1), Math.min(n - 1, i + 1)];
    return (values[b]! - values[a]!) / ((b - a) * stepM);
  });
}

/**
 * The path at given offsets from the course, from node `first` on (negative: before the gate).
 * @param offset m, positive left, one value per node of the run
 */
export function runPath(course: Course, first: number, offset: Float64Array): RunPath {
  const n = offset.length;
  const h = course.stepM;
  const array = () => new Float64Array(n);
  const [x, y, altitude, heading, pathPerStation, centreSlope] = [array(), array(), array(), array(), array(), array()];
  const offsetSlope = slope(offset, h);
  for (let i = 0; i < n; i++) {
    const laps = Math.floor((first + i) / course.count);
    const at = first + i - laps * course.count;
    const theta = course.heading[at]! + laps * course.turning;
    const along = 1 - offset[i]! * course.curvature[at]!;
    x[i] = course.x[at]! - offset[i]! * Math.sin(theta);
    y[i] = course.y[at]! + offset[i]! * Math.cos(theta);
    heading[i] = theta + Math.atan2(offsetSlope[i]!, along);
    pathPerStation[i] = Math.hypot(along, offsetSlope[i]!);
    altitude[i] = course.altitude[at]!;
    const [before, after] = [(at + course.count - 1) % course.count, (at + 1) % course.count];
    centreSlope[i] = (course.altitude[after]! - course.altitude[before]!) / (2 * h);
  }
  const perPath = (values: Float64Array) => slope(values, h).map((d, i) => d / pathPerStation[i]!);
  const curvature = perPath(heading);
  const grade = centreSlope.map((d, i) => d / pathPerStation[i]!);
  return {
    firstM: first * h,
    stepM: h,
    count: n,
    x,
    y,
    altitude,
    heading,
    offset,
    pathPerStation,
    curvature,
    curvatureSlope: perPath(curvature),
    grade,
    gradeSlope: perPath(grade),
  };
}
