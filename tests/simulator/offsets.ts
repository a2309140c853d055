import { PIT } from './pitLane.ts';
import type { Ride } from './ride.ts';
import type { RunPath } from './runPath.ts';
import type { Seeded } from './seeded.ts';
import { blend, runningMeans, softBlend } from './smooth.ts';

/** Where riders aim: the rider's line, and the pit lane at the ends of the run. */
export function aimedOffset(spec: Ride, first: number, n: number): Float64Array {
  const { course, rider } = spec;
  const pit = spec.pitOffsetM ?? 0;
  const end = spec.laps * course.count;
  return Float64Array.from({ length: n }, (_, i) => {
    const at = first + i;
    const line = rider.line[((at % course.count) + course.count) % course.count]!;
    let share = 0;
    if (spec.start === 'pit') {
      const m = (at + course.count) * course.stepM;
      share = Math.max(share, 1 - softBlend((m - PIT.exitM) / (PIT.mergedM - PIT.exitM)));
    }
    if (spec.end === 'pit') {
      const m = (at - end - course.count) * course.stepM;
      share = Math.max(share, softBlend((m - PIT.leaveM) / (PIT.enteredM - PIT.leaveM)));
    }
    return line + share * (pit - line);
  });
}

/** 0 in the pit lane and at the ends of the run, 1 on the circuit. */
function pitFade(spec: Ride, at: number): number {
  const { course } = spec;
  let fade = 1;
  if (spec.start === 'pit') fade *= blend(((at + course.count) * course.stepM - PIT.exitM) / 60);
  if (spec.end === 'pit') fade *= 1 - blend(((at - (spec.laps + 1) * course.count) * course.stepM - PIT.leaveM) / 60);
  return fade;
}

/**
 * Offset errors of a run, m: lap-to-lap scatter of a human's line, or what a robot's controller leaves of its plan.
 * A wandering of given size and length, and a share that runs wide of bends; nothing of it in the pit lane.
 */
export function wandering(spec: Ride, first: number, path: RunPath, random: Seeded): Float64Array {
  const { rider } = spec;
  const [sdM, lengthM] = rider.plan ? [rider.plan.wanderM, rider.plan.wanderLengthM] : [rider.scatter.lineM, 90];
  const white = Float64Array.from({ length: path.count }, () => random.normal());
  const radius = lengthM / 2 / path.stepM;
  const smooth = runningMeans(runningMeans(white, radius), radius);
  const rms = Math.sqrt(smooth.reduce((sum, v) => sum + v * v, 0) / path.count) || 1;
  const bent = runningMeans(path.curvature, 14 / path.stepM);
  const wide = rider.plan?.wideM ?? 0;
  // full width from bends of about 30 m radius on, less in faster ones; away from the centre of the bend
  return smooth.map((v, i) => ((v / rms) * sdM - wide * Math.tanh(bent[i]! * 30)) * pitFade(spec, first + i));
}
