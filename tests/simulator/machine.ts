export const G = 9.80665;

/** Where the weight of a machine with its rider lies, and how high the air pushes; metres, machine upright. */
export interface Build {
  readonly massKg: number;
  readonly wheelbaseM: number;
  /** From the rear contact forward to the mass centre. */
  readonly rearToMassM: number;
  readonly heightM: number;
  readonly dragHeightM: number;
  /** rho CdA / 2, kg/m. */
  readonly dragKgPerM: number;
}

/** What a machine with its rider can do. Accelerations are along the path, forward positive unless said otherwise. */
export interface Machine {
  readonly massKg: number;
  /** rho CdA / 2, kg/m. */
  readonly dragKgPerM: number;
  /** Rolling resistance as an acceleration, m/s2. */
  readonly rollingMps2: number;
  /** Lateral limit of the tyres on level ground, m/s2. */
  readonly lateralMps2: number;
  /** Largest deceleration upright, drag included: the rear wheel lifts, or the front tyre slides. */
  readonly decelerationMps2: (speedMps: number) => number;
  /** Largest force of the rear tyre on the ground over the mass, upright: the front wheel lifts, or the tyre slides. */
  readonly tractionMps2: (speedMps: number) => number;
  /** Speed at the rev limit, gear by gear, m/s. */
  readonly gearMps: readonly number[];
  readonly limitRadps: number;
  /** Drive force at the rear wheel with full throttle, N. */
  readonly driveN: (speedMps: number, gear: number) => number;
  /** Deceleration by the closed engine, m/s2. */
  readonly engineBrakeMps2: (speedMps: number, gear: number) => number;
  /** Half width of the tyre's round part over the height of the mass centre; leans the machine more than the force asks. */
  readonly tyreRatio: number;
  /** What the rider's body takes off the machine's lean, rad at 1 g lateral. */
  readonly bodyLeanRad: number;
}

/** Deceleration, drag included, at which the rear wheel lifts: moments about the front contact. */
export const rearLiftMps2 = (b: Build, speedMps: number): number =>
  (G * (b.wheelbaseM - b.rearToMassM) + (b.dragKgPerM * speedMps ** 2 * b.dragHeightM) / b.massKg) / b.heightM;

/** Acceleration, drag taken off, at which the front wheel lifts: moments about the rear contact. */
export const frontLiftMps2 = (b: Build, speedMps: number): number =>
  (G * b.rearToMassM - (b.dragKgPerM * speedMps ** 2 * b.dragHeightM) / b.massKg) / b.heightM;

/** Acceleration without drag that a driven rear tyre of a friction holds, weight moving back as it pushes. */
export const rearFrictionMps2 = (b: Build, friction: number): number =>
  (friction * G * (b.wheelbaseM - b.rearToMassM)) / (b.wheelbaseM - friction * b.heightM);

/** Relative torque by relative engine speed: full in the middle, falling to the limit, zero beyond it. */
function torqueShare(revs: number): number {
  if (revs >= 1.002) return 0;
  return Math.max(0.25, 1 - 0.55 * ((revs - 0.78) / 0.78) ** 2);
}

/** Friction of warm tyres on the dry circuit. */
const FRICTION = 1.42;

/**
 * An unmodified litre-class road machine.
 * @param riderKg the person, or the robot with its rig
 * @param bodyLeanDeg what the rider's body takes off the machine's lean at 1 g
 * @param grip share of the friction of the dry circuit, sideways and lengthways
 */
export function roadMachine(riderKg: number, bodyLeanDeg: number, grip = 1): Machine {
  const build: Build = {
    massKg: 205 + riderKg,
    wheelbaseM: 1.43,
    rearToMassM: 0.655,
    heightM: 0.68,
    dragHeightM: 0.66,
    dragKgPerM: 0.305,
  };
  const { massKg, dragKgPerM } = build;
  const friction = FRICTION * grip;
  const gearMps = [40, 50.5, 59.5, 67.5, 74.5, 81];
  const powerW = 141_000;
  const limitRadps = 1410;
  // power at the rev limit's torque peak is spread so that force times speed is the engine's power in every gear
  const driveN = (speedMps: number, gear: number): number => {
    const top = gearMps[gear - 1]!;
    return (powerW / (0.9 * top)) * torqueShare(Math.max(0.2, speedMps / top));
  };
  return {
    massKg,
    dragKgPerM,
    rollingMps2: 0.15,
    lateralMps2: friction * G,
    // At speed the air holds the rear wheel down; nobody trusts it, and brakes by what lifts the wheel at rest.
    decelerationMps2: (v) => Math.min(rearLiftMps2(build, 0), rearLiftMps2(build, v), friction * G),
    tractionMps2: (v) =>
      Math.min(frontLiftMps2(build, v) + (dragKgPerM * v * v) / massKg, rearFrictionMps2(build, friction)),
    gearMps,
    limitRadps,
    driveN,
    engineBrakeMps2: (speedMps, gear) => {
      const top = gearMps[gear - 1]!;
      return (0.25 + 1.5 * Math.min(1, speedMps / top) ** 1.5) * (40 / top);
    },
    tyreRatio: 0.13,
    bodyLeanRad: (bodyLeanDeg * Math.PI) / 180,
  };
}

/**
 * Lean of the machine (rad, positive for a positive lateral acceleration): the force's own angle, more by the
 * roundness of the tyres, less by the rider's body inside.
 */
export function leanOf(machine: Machine, lateralMps2: number, verticalMps2: number): number {
  const ideal = Math.atan(lateralMps2 / Math.max(1, verticalMps2));
  const tyre = Math.asin((machine.tyreRatio * Math.sin(ideal)) / (1 - machine.tyreRatio));
  return ideal + tyre - machine.bodyLeanRad * Math.tanh(lateralMps2 / G);
}
