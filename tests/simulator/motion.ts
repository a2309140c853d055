import { G, leanOf } from './machine.ts';
import type { Ridden } from './ride.ts';
import type { Rider } from './rider.ts';
import { slope } from './runPath.ts';
import { gaussian } from './smooth.ts';

/** A change up below this is done by cutting the ignition, hands off everything, s. */
const QUICK_S = 0.06;

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
  /** 0 to 1, 1 where the lever is pulled. */
  readonly clutch: Float64Array;
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
  const quick = rider.shiftS < QUICK_S;
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
    clutch: clutch(run, rider),
    steerTorque: Float64Array.from(
      rollRate,
      (p, i) => 9 * p * Math.min(1, speed[i]! / 25) + 1.2 * rollJerk[i]! + 4 * roll[i]!,
    ),
    wheelFront: Float64Array.from(speed, (_, i) => wheel(i)),
    wheelRear: Float64Array.from(speed, (_, i) => wheel(i) * (1 + 0.03 * throttle[i]!)),
  };
}

/** The clutch is pulled for every change down, and for changes up that are not quick; half a sine each. */
function clutch({ profile, time, path }: Ridden, rider: Rider): Float64Array {
  const out = new Float64Array(path.count);
  for (let i = 1; i < path.count; i++) {
    const up = profile.gear[i]! > profile.gear[i - 1]!;
    if (profile.gear[i] === profile.gear[i - 1] || (up && rider.shiftS < QUICK_S)) continue;
    const spanS = up ? 1.2 * rider.shiftS : (rider.clutchS ?? 0.14);
    // the gear engages in the middle of it
    const fromS = time[i]! - spanS / 2;
    let k = i;
    while (k > 0 && time[k - 1]! > fromS) k--;
    for (; k < path.count && time[k]! < fromS + spanS; k++)
      out[k] = Math.max(out[k]!, Math.sin((Math.PI * Math.max(0, time[k]! - fromS)) / spanS));
  }
  return out;
}
