export const G = 9.80665;

/** What a machine with its rider can do. Accelerations are along the path, forward positive unless said otherwise. */
export interface Machine {
  readonly massKg: number;
  /** rho CdA / 2, kg/m. */
  readonly dragKgPerM: number;
  /** Rolling resistance as an acceleration, m/s2. */
  readonly rollingMps2: number;
  /** Lateral limit of the tyres on level ground, m/s2. */
  readonly lateralMps2: number;
  /** Largest deceleration upright, drag included: the rear wheel lifts. */
  readonly decelerationMps2: (speedMps: number) => number;
  /** Largest drive acceleration upright that the rear tyre and the lifting front wheel allow. */
  readonly tractionMps2: number;
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

/** Relative torque by relative engine speed: full in the middle, falling to the limit, zero beyond it. */
function torqueShare(revs: number): number {
  if (revs >= 1.002) return 0;
  return Math.max(0.25, 1 - 0.55 * ((revs - 0.78) / 0.78) ** 2);
}

/** An unmodified litre-class road machine; `riderKg` is the person or the robot with its rig. */
export function roadMachine(riderKg: number, bodyLeanDeg: number): Machine {
  const massKg = 205 + riderKg;
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
    dragKgPerM: 0.305,
    rollingMps2: 0.15,
    lateralMps2: 1.42 * G,
    decelerationMps2: () => 1.14 * G,
    tractionMps2: 0.86 * G,
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
