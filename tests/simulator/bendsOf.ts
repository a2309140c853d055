import type { Course, NamedBend } from './course.ts';

/**
 * Bends of any course, numbered from station 0: stretches tighter than `radiusM` and of one sense. A bend that holds
 * station 0 is cut there.
 */
export function bendsOf(course: Course, radiusM = 400): NamedBend[] {
  const sense = (i: number) => (Math.abs(course.curvature[i]!) * radiusM > 1 ? Math.sign(course.curvature[i]!) : 0);
  const bends: NamedBend[] = [];
  let from = 0;
  for (let i = 1; i <= course.count; i++) {
    const ends = i === course.count || sense(i) !== sense(from);
    if (!ends) continue;
    if (sense(from) !== 0)
      bends.push({ name: String(bends.length + 1), fromM: from * course.stepM, toM: (i - 1) * course.stepM });
    from = i;
  }
  return bends;
}
