import { roadMachine } from './machine.ts';
import { racingLine } from './racingLine.ts';
import type { BendStyle, Rider } from './rider.ts';
import type { Circuit } from './saltmarsh.ts';
import { softBlend } from './smooth.ts';

const REFERENCE: BendStyle = {
  gripUse: 0.875,
  brakeUse: 0.96,
  driveUse: 1,
  brakeBlend: 2,
  earlyM: 3,
  lateM: 3,
  rollRateDegps: 94,
  rampS: 0.3,
  shiftAt: 0.97,
};

/** What the robot's software does on its first day, and what it would do at the end of the campaign. */
const FIRST: BendStyle = {
  gripUse: 0.62,
  brakeUse: 0.44,
  driveUse: 0.82,
  brakeBlend: 1.4,
  earlyM: 9,
  lateM: 8,
  rollRateDegps: 42,
  rampS: 0.6,
  shiftAt: 0.93,
};
const LAST: BendStyle = {
  gripUse: 0.885,
  brakeUse: 0.8,
  driveUse: 1,
  brakeBlend: 2,
  earlyM: 2.5,
  lateM: 2.5,
  rollRateDegps: 88,
  rampS: 0.3,
  shiftAt: 0.97,
};

/** The one thing that is done worse in a bend. */
export type Cause = 'onset' | 'intensity' | 'line' | 'grip' | 'pick-up' | 'drive' | 'shifts';

/** One thing that the robot does worse in one bend than it would by its general skill. */
export interface Deficit {
  readonly bend: string;
  readonly cause: Cause;
  /** What it does there instead. */
  readonly style?: Partial<BendStyle>;
  /** How far from the centre line it plans there, m. */
  readonly reachM?: number;
  /** The plan has it already; else the plan is sound and the ride is not. */
  readonly planned?: true;
}

/** A version of the robot's software, and how far it has come. */
export interface Software {
  readonly name: string;
  /** 0 on the first day, 1 at the end. */
  readonly skill: number;
  /** Bends that are taken in another way for more than one reason. */
  readonly bends?: Readonly<Record<string, Partial<BendStyle>>>;
  /** What holds in every bend. */
  readonly all?: Partial<BendStyle>;
  readonly deficits: readonly Deficit[];
  /** A simulation has nothing that wanders, and shorter delays. */
  readonly ideal?: true;
  /** Share of the dry grip. */
  readonly grip?: number;
}

const between = (skill: number, first: number, last: number): number => first + (last - first) * skill;

function styleAt(skill: number): BendStyle {
  const keys = Object.keys(FIRST) as (keyof BendStyle)[];
  return Object.fromEntries(keys.map((key) => [key, between(skill, FIRST[key], LAST[key])])) as unknown as BendStyle;
}

/** Everyone who rides in the demo; lines are found once. */
export function riders(circuit: Circuit): { reference: Rider; robot: (software: Software) => Rider } {
  const { course } = circuit;
  const found = new Map<number, Float64Array>();
  const lineAt = (reachM: number): Float64Array => {
    const line = found.get(reachM) ?? racingLine(course, reachM);
    found.set(reachM, line);
    return line;
  };
  const reference: Rider = {
    name: 'reference',
    machine: roadMachine(78, 3.5),
    style: REFERENCE,
    bends: { '5': { gripUse: 1 } },
    scatter: { gripUse: 0.03, brakeUse: 0.045, driveUse: 0.015, earlyM: 3, lateM: 3, lineM: 0.22 },
    shiftS: 0.035,
    smoothS: 0.11,
    entryS: 0.36,
    downS: 0.24,
    clutchS: 0.13,
    line: lineAt(3.7),
  };
  const robot = (software: Software): Rider => {
    const { skill, deficits, ideal = false } = software;
    const style = { ...styleAt(skill), ...software.all };
    const own = (of: readonly Deficit[]): Record<string, Partial<BendStyle>> => {
      const out: Record<string, Partial<BendStyle>> = { ...software.bends };
      for (const { bend, style: change } of of) if (change) out[bend] = { ...out[bend], ...change };
      return out;
    };
    // the plan asks for what the next version will ride
    const planned = { ...styleAt(Math.min(1, skill + 0.05)), ...software.all };
    const usual = lineAt(Number(between(skill, 2.6, 3.7).toFixed(1)));
    const k = ideal ? 0.4 : between(skill, 2.4, 1.9);
    return {
      name: software.name,
      machine: roadMachine(86, 0, software.grip),
      style,
      bends: own(deficits),
      scatter: { gripUse: 0.006 * k, brakeUse: 0.015 * k, driveUse: 0.003 * k, earlyM: k, lateM: k, lineM: 0 },
      shiftS: between(skill, 0.24, 0.05),
      smoothS: 0.14,
      entryS: between(skill, 0.7, 0.42),
      downS: between(skill, 0.5, 0.28),
      clutchS: between(skill, 0.3, 0.16),
      line: deficits.reduce((line, d) => (d.reachM ? through(circuit, d.bend, line, lineAt(d.reachM)) : line), usual),
      plan: {
        style: planned,
        bends: own(deficits.filter((d) => d.planned)),
        shiftS: between(skill, 0.24, 0.05),
        wanderM: ideal ? 0.04 : between(skill, 0.28, 0.07),
        wanderLengthM: 70,
        wideM: ideal ? 0.06 : between(skill, 0.35, 0.09),
        deadS: ideal ? 0.02 : between(skill, 0.13, 0.055),
        lagS: ideal ? 0.03 : between(skill, 0.15, 0.065),
      },
    };
  };
  return { reference, robot };
}

/** A line that goes over into another for one bend and comes back. */
function through({ course, bends }: Circuit, name: string, line: Float64Array, other: Float64Array): Float64Array {
  const { fromM, toM } = bends.find((bend) => bend.name === name)!;
  return line.map((offset, i) => {
    const m = i * course.stepM;
    const share = softBlend((m - fromM + 175) / 160) * softBlend((toM + 175 - m) / 160);
    return offset + share * (other[i]! - offset);
  });
}
