import { bendsOf } from '../simulator/bendsOf.ts';
import type { Course } from '../simulator/course.ts';
import { plainRider } from '../simulator/plainRider.ts';
import type { Ride } from '../simulator/ride.ts';
import type { Sensors } from '../simulator/sense.ts';
import { type Simulated, simulateRun } from '../simulator/simulateRun.ts';

/** A run of two laps on a course, from and to full speed, by a plain rider. */
export function simulated(course: Course, sensors: Partial<Sensors> = {}, ride: Partial<Ride> = {}): Simulated {
  return simulateRun(
    {
      course,
      bends: bendsOf(course),
      rider: plainRider(course),
      laps: 2,
      start: 'rolling',
      end: 'rolling',
      seed: 'align',
      ...ride,
    },
    { rateHz: 50, ...sensors },
  );
}
