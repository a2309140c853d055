import type { Circuit } from './courses.ts';
import { type Bump, type Path, pathOf } from './path.ts';
import { type Middle, middlesOf, type Ride, ride } from './ride.ts';
import { type Controls, gearFor, MACHINE } from './rider.ts';

/** A rider's whole way round: the line and the controls of each passage. */
export interface Way {
  readonly bumps: readonly Bump[];
  readonly controls: readonly Controls[];
}

/** The reference's habits; what each passage needs beyond them follows from its line. */
const HABIT = { intensity: 0.9, grip: 0.9, drive: 0.97, shiftS: 0.06, pickUpM: -8, releaseM: 4 };

/**
 * The reference's way: wide, in, wide through every bend; braking done a few metres before the line is tightest, the
 * throttle opened shortly before it widens.
 */
export function referenceWay(circuit: Circuit): { way: Way; path: Path; middles: Middle[][] } {
  const { course, passages } = circuit;
  const bumps = course.apexes.flatMap(({ fromM, toM, curvaturePerM }): Bump[] => {
    const sign = Math.sign(curvaturePerM);
    const atM = (fromM + toM) / 2;
    const reach = (toM - fromM) / 2;
    const widthM = 24 + 0.35 * reach;
    return [
      { atM, heightM: sign * 1.8, widthM },
      { atM: atM - reach - 2 * widthM, heightM: -sign * 0.9, widthM },
      { atM: atM + reach + 2 * widthM, heightM: -sign * 0.9, widthM },
    ];
  });
  const path = pathOf(course, bumps);
  const middles = middlesOf(circuit, path);
  const controls = passages.map(({ entry, apexes }, i): Controls => {
    const [first] = middles[i]!;
    const last = middles[i]!.at(-1)!;
    const speed = Math.sqrt((HABIT.grip * MACHINE.lateralMps2) / last.curvaturePerM);
    return {
      marginM: first!.centreM - first!.fromM + HABIT.releaseM,
      intensity: entry === 'brake' ? HABIT.intensity : 0,
      grips: apexes.map(() => HABIT.grip),
      pickUpM: Math.max(2, last.toM - last.centreM + HABIT.pickUpM),
      drive: HABIT.drive,
      shiftS: HABIT.shiftS,
      shiftAt: 1,
      gear: gearFor(MACHINE, speed * 1.06),
    };
  });
  return { way: { bumps, controls }, path, middles };
}

export function rideOf(circuit: Circuit, { bumps, controls }: Way, stepM?: number): Ride {
  return ride(circuit, pathOf(circuit.course, bumps), MACHINE, controls, stepM);
}
