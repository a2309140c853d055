import type { Course } from './course.ts';
import { roadMachine } from './machine.ts';
import type { Rider } from './rider.ts';

/** A capable rider on the centre line who is the same on every lap, for tests on courses of their own. */
export function plainRider(course: Course, name = 'plain'): Rider {
  return {
    name,
    machine: roadMachine(80, 3),
    style: {
      gripUse: 0.8,
      brakeUse: 0.85,
      driveUse: 0.95,
      brakeBlend: 2,
      earlyM: 2,
      lateM: 2,
      rollRateDegps: 90,
      rampS: 0.3,
      shiftAt: 0.97,
    },
    bends: {},
    scatter: { gripUse: 0, brakeUse: 0, driveUse: 0, earlyM: 0, lateM: 0, lineM: 0 },
    shiftS: 0.04,
    smoothS: 0.1,
    line: new Float64Array(course.count),
  };
}
