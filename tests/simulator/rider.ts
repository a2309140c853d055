import type { Machine } from './machine.ts';

/** How a rider takes one bend and the straight after it. */
export interface BendStyle {
  /** Shares of what the machine can do sideways, under brakes and under drive. */
  readonly gripUse: number;
  readonly brakeUse: number;
  readonly driveUse: number;
  /** Exponent of the ellipse of braking and lean; less than 2 gives the brakes up early on the way in. */
  readonly brakeBlend: number;
  /** Metres before and after the slowest point over which the machine only rolls. */
  readonly earlyM: number;
  readonly lateM: number;
  readonly rollRateDegps: number;
  readonly rampS: number;
  readonly shiftAt: number;
}

/** Standard deviations from lap to lap, bend by bend. */
export interface Scatter {
  readonly gripUse: number;
  readonly brakeUse: number;
  readonly driveUse: number;
  readonly earlyM: number;
  readonly lateM: number;
  readonly lineM: number;
}

/** A rider, human or robot. */
export interface Rider {
  readonly name: string;
  readonly machine: Machine;
  readonly style: BendStyle;
  /** Where a bend is taken in another way. */
  readonly bends: Readonly<Record<string, Partial<BendStyle>>>;
  readonly scatter: Scatter;
  readonly shiftS: number;
  readonly smoothS: number;
  /** Into a bend: from the brake to the first change down, from one change to the next, clutch open for each; s. */
  readonly entryS?: number;
  readonly downS?: number;
  readonly clutchS?: number;
  /** Offsets from the centre line by node of the course; the centre line where absent. */
  readonly line: Float64Array;
  /** A robot's plan; `line` is then what it aims at, and this is how it would be ridden without fault. */
  readonly plan?: Plan;
}

/** What a robot aims at, and how its controller follows the path. */
export interface Plan {
  readonly style: BendStyle;
  readonly bends: Readonly<Record<string, Partial<BendStyle>>>;
  readonly shiftS: number;
  /** Wandering about the planned line: standard deviation and typical length, m. */
  readonly wanderM: number;
  readonly wanderLengthM: number;
  /** How far it runs wide of the plan at 1 g lateral, m. */
  readonly wideM: number;
  /** Commands lead what the actuators do by a dead time and a lag. */
  readonly deadS: number;
  readonly lagS: number;
}

/** The style of a rider or plan in one bend. */
export function styleIn(
  of: { readonly style: BendStyle; readonly bends: Readonly<Record<string, Partial<BendStyle>>> },
  bend: string,
): BendStyle {
  return { ...of.style, ...of.bends[bend] };
}
