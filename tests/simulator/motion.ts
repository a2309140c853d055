import { G, leanOf } from './machine.ts';
import type { Ridden } from './ride.ts';
import type { Rider } from './rider.ts';
import { slope } from './runPath.ts';
import { gaussian } from './smooth.ts';

/** What the machine does, node by node; SI, ISO 8855 signs. Accelerations are level, specific force upward. */
export interface Motion {
  readonly accLong: Float64Array;
  readonly accLat: Float64Array;
  readonly accVert: Float64Array;
  readonly roll: Float64Array;
  readonly rollRate: Float64Array;
  readonly pitch: Float64Array;
  readonly pitchRate: Float64Array;
  readonly yawRate: Float64Array;
  readonly throttle: Float64Array;
  readonly brakeFront: Float64Array;
  readonly brakeRear: Float64Array;
  readonly engineSpeed: Float64Array;
  readonly steerTorque: Float64Array;
  readonly wheelFront: Float64Array;
  readonly wheelRear: Float64Array;
}

/** Works out controls and attitude that belong to a ridden profile. */
export function motion(run: Ridden, rider: Rider): Motion {
  const { path, profile, speed } = run;
  const { machine } = rider;
  const n = path.count;
  const h = path.stepM;
  const accLong = slope(profile.energy, h).map((d, i) => d / path.pathPerStation[i]!);
  const accLat = Float64Array.from(speed, (v, i) => v * v * path.curvature[i]!);
  const accVert = Float64Array.from(speed, (v, i) => G + v * v * path.gradeSlope[i]!);
  const spread = (seconds: number) => (i: number) => (seconds * speed[i]!) / h;
  const roll = gaussian(
    Float64Array.from(accLat, (a, i) => -leanOf(machine, a, accVert[i]!)),
    spread(0.05),
  );
  const perSecond = (values: Float64Array) => slope(values, h).map((d, i) => (d * speed[i]!) / path.pathPerStation[i]!);
  const pitch = gaussian(
    Float64Array.from(accLong, (a, i) => -Math.atan(path.grade[i]!) - 0.0028 * a),
    spread(0.09),
  );
  const rollRate = perSecond(roll);
  const rollJerk = perSecond(rollRate);
  const [throttle, brakeFront, brakeRear, engineSpeed] = [0, 0, 0, 0].map(() => new Float64Array(n)) as [
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const quick = rider.shiftS < 0.06;
  for (let i = 0; i < n; i++) {
    const v = speed[i]!;
    const gear = profile.gear[i]!;
    const asked =
      accLong[i]! + (v * v * machine.dragKgPerM) / machine.massKg + machine.rollingMps2 + G * path.grade[i]!;
    const closed = machine.engineBrakeMps2(v, gear);
    const full = Math.max(1, machine.driveN(v, gear) / machine.massKg);
    if (v > 0.3) {
      // a quick cut leaves the twist grip where it was
      if (profile.cut[i] === 1 && quick && i > 0) throttle[i] = throttle[i - 1]!;
      else if (profile.cut[i] === 0) throttle[i] = Math.max(0, Math.min(1, (asked + closed) / (full + closed)));
      const brakes = Math.max(0, -(asked + closed) - 0.25);
      brakeFront[i] = profile.cut[i] === 1 ? 0 : 1.05e5 * brakes;
      brakeRear[i] = profile.cut[i] === 1 ? 0 : 0.16e5 * Math.min(brakes, 4);
    }
    engineSpeed[i] = Math.max(140, (machine.limitRadps * v) / machine.gearMps[gear - 1]!);
  }
  // tyres are ridden on a smaller radius when leant, and the driven wheel slips
  const wheel = (i: number) => speed[i]! / (1 - 0.27 * (1 - Math.cos(roll[i]!)));
  return {
    accLong,
    accLat,
    accVert,
    roll,
    rollRate,
    pitch,
    pitchRate: perSecond(pitch),
    yawRate: Float64Array.from(speed, (v, i) => v * path.curvature[i]!),
    throttle: gaussian(throttle, spread(0.03)),
    brakeFront: gaussian(brakeFront, spread(0.03)),
    brakeRear: gaussian(brakeRear, spread(0.03)),
    engineSpeed,
    steerTorque: Float64Array.from(
      rollRate,
      (p, i) => 9 * p * Math.min(1, speed[i]! / 25) + 1.2 * rollJerk[i]! + 4 * roll[i]!,
    ),
    wheelFront: Float64Array.from(speed, (_, i) => wheel(i)),
    wheelRear: Float64Array.from(speed, (_, i) => wheel(i) * (1 + 0.03 * throttle[i]!)),
  };
}
