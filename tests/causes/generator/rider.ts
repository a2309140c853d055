/** What a machine can do, per kilogram of machine and rider. */
export interface Machine {
  /** Rolling resistance and air drag: deceleration = c0 + c2 v². */
  readonly rollingMps2: number;
  readonly dragPerM: number;
  /** At the wheel, W/kg. */
  readonly powerWpkg: number;
  /** Upright: most drive before the front lifts, most braking before the rear lifts, m/s². */
  readonly driveMps2: number;
  readonly brakeMps2: number;
  /** Most lateral acceleration, m/s². Lean takes from drive and braking as on an ellipse. */
  readonly lateralMps2: number;
  /** Of the closed throttle in gear, m/s². */
  readonly engineBrakingMps2: number;
  /** Speeds at which a rider goes up from gear 1, 2, …, m/s. */
  readonly upshiftsMps: readonly number[];
}

/** How a rider takes one passage. A reference and a robot that differ in one of these differ in one factor. */
export interface Controls {
  /** Brakes are done with this far ahead of the middle of the (first) apex, m. */
  readonly marginM: number;
  /** Share of the machine's braking that is used; 0 where the throttle is only closed. */
  readonly intensity: number;
  /** Share of the machine's lateral acceleration that is used at each apex. */
  readonly grips: readonly number[];
  /** The throttle is opened this far behind the middle of the (last) apex, m. */
  readonly pickUpM: number;
  /** Share of the drive possible at that lean and speed that is used, until the next passage. */
  readonly drive: number;
  /** Without drive at each upshift, s, and at which share of the usual speed it comes. */
  readonly shiftS: number;
  readonly shiftAt: number;
  /** Gear at pick-up. */
  readonly gear: number;
}

/** Habits that both riders share. */
export const BRAKE_BUILD_UP_S = 0.2;
export const BRAKE_RELEASE_S = 0.14;
export const THROTTLE_OPENING_S = 0.35;
/** Brakes count as released once speed is within this of the corner's, m/s. */
export const RELEASED_MPS = 0.3;

export const MACHINE: Machine = {
  rollingMps2: 0.12,
  dragPerM: 6.8e-4,
  powerWpkg: 420,
  driveMps2: 8.8,
  brakeMps2: 10.2,
  lateralMps2: 13.4,
  engineBrakingMps2: 0.6,
  upshiftsMps: [20, 28, 36.5, 45, 54, 64],
};

export const GRAVITY_MPS2 = 9.80665;

/** Smooth rise from 0 to 1. */
export const rise = (x: number): number => (x <= 0 ? 0 : x >= 1 ? 1 : x * x * (3 - 2 * x));

/** What is left of a limit along the machine while this much is used across. */
export function left(machine: Machine, acrossMps2: number): number {
  const use = acrossMps2 / machine.lateralMps2;
  return use * use >= 1 ? 0 : Math.sqrt(1 - use * use);
}

export function dragMps2(machine: Machine, v: number): number {
  return machine.rollingMps2 + machine.dragPerM * v * v;
}

/** Most drive at a speed and lateral acceleration. */
export function mostDrive(machine: Machine, v: number, acrossMps2: number): number {
  return Math.min(machine.driveMps2 * left(machine, acrossMps2), machine.powerWpkg / v);
}

/** Gear in which a speed is ridden. */
export function gearFor({ upshiftsMps }: Machine, v: number): number {
  return 1 + upshiftsMps.filter((limit) => limit < v).length;
}
