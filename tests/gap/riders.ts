import type { Course } from '../simulator/course.ts';
import { plainRider } from '../simulator/plainRider.ts';
import type { BendStyle, Rider } from '../simulator/rider.ts';

/** What a property test may vary of a rider. */
export interface Manner {
  readonly gripUse: number;
  readonly brakeUse: number;
  readonly driveUse: number;
  readonly earlyM: number;
  readonly lateM: number;
  /** Aside of the centre line all round, m. */
  readonly asideM: number;
}

export const CAPABLE: Manner = { gripUse: 0.8, brakeUse: 0.85, driveUse: 0.95, earlyM: 2, lateM: 2, asideM: 0 };

export function riderOf(course: Course, { asideM, ...style }: Manner, wander = false): Rider {
  const plain = plainRider(course);
  const manner: BendStyle = { ...plain.style, ...style };
  const scatter = wander ? { ...plain.scatter, lineM: 0.4, gripUse: 0.01 } : plain.scatter;
  return { ...plain, style: manner, scatter, line: new Float64Array(course.count).fill(asideM) };
}
