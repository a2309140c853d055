import { roadMachine } from './machine.ts';
import { racingLine } from './racingLine.ts';
import type { BendStyle, Rider } from './rider.ts';
import type { Circuit } from './saltmarsh.ts';

const REFERENCE: BendStyle = {
  gripUse: 0.875,
  brakeUse: 0.96,
  driveUse: 1,
  brakeBlend: 2,
  earlyM: 3,
  lateM: 3,
  rollRateDegps: 105,
  rampS: 0.3,
  shiftAt: 0.97,
};

/** The steps of the robot's software that ride in the demo. */
export type Software = 'first' | 'simulated' | 'middle' | 'latest';

interface Skill {
  readonly style: Partial<BendStyle>;
  readonly bends: Readonly<Record<string, Partial<BendStyle>>>;
  /** How far the plan is ahead of what is ridden: shares of the way from the ridden style to the plan's. */
  readonly plan: Partial<BendStyle>;
  readonly planBends: Readonly<Record<string, Partial<BendStyle>>>;
  readonly shiftS: number;
  /** How far from the centre line it plans, m. */
  readonly reachM: number;
  readonly wanderM: number;
  readonly wideM: number;
  readonly scatter: number;
  readonly deadS: number;
  readonly lagS: number;
}

const SKILLS: Readonly<Record<Software, Skill>> = {
  simulated: {
    style: {
      gripUse: 0.8,
      brakeUse: 0.83,
      driveUse: 0.94,
      brakeBlend: 1.7,
      earlyM: 5,
      lateM: 4,
      rollRateDegps: 75,
      rampS: 0.4,
      shiftAt: 0.96,
    },
    bends: { '3': { lateM: 9 } },
    plan: { gripUse: 0.81, brakeUse: 0.85, driveUse: 0.95 },
    planBends: {},
    shiftS: 0.15,
    reachM: 2.9,
    wanderM: 0.05,
    wideM: 0.08,
    scatter: 0.3,
    deadS: 0.04,
    lagS: 0.04,
  },
  first: {
    style: {
      gripUse: 0.73,
      brakeUse: 0.7,
      driveUse: 0.87,
      brakeBlend: 1.5,
      earlyM: 8,
      lateM: 7,
      rollRateDegps: 48,
      rampS: 0.6,
      shiftAt: 0.93,
    },
    bends: { '3': { lateM: 15 }, '5': { gripUse: 0.24 } },
    plan: { gripUse: 0.765, brakeUse: 0.77, driveUse: 0.92, earlyM: 5, lateM: 5, rampS: 0.5 },
    planBends: { '3': { lateM: 11 }, '5': { gripUse: 0.26 } },
    shiftS: 0.22,
    reachM: 2.6,
    wanderM: 0.28,
    wideM: 0.35,
    scatter: 1.8,
    deadS: 0.12,
    lagS: 0.14,
  },
  middle: {
    style: {
      gripUse: 0.81,
      brakeUse: 0.82,
      driveUse: 0.945,
      brakeBlend: 1.7,
      earlyM: 4,
      lateM: 4,
      rollRateDegps: 75,
      rampS: 0.4,
      shiftAt: 0.96,
    },
    bends: { '1': { earlyM: 16 }, '3': { lateM: 16 }, '6': { earlyM: 28 } },
    plan: { gripUse: 0.83, brakeUse: 0.85, driveUse: 0.965, earlyM: 3, lateM: 3 },
    planBends: { '1': { earlyM: 8 }, '3': { lateM: 9 }, '6': { earlyM: 8 } },
    shiftS: 0.14,
    reachM: 3.0,
    wanderM: 0.17,
    wideM: 0.22,
    scatter: 1.5,
    deadS: 0.08,
    lagS: 0.09,
  },
  latest: {
    style: {
      gripUse: 0.857,
      brakeUse: 0.895,
      driveUse: 0.98,
      brakeBlend: 1.8,
      earlyM: 3,
      lateM: 3,
      rollRateDegps: 100,
      rampS: 0.32,
      shiftAt: 0.97,
    },
    bends: {
      '1': { earlyM: 15 },
      '3': { lateM: 14 },
      '4': { shiftAt: 0.8, driveUse: 0.93 },
      '6': { earlyM: 28 },
      '7': { rollRateDegps: 42 },
      '8': { rollRateDegps: 42 },
    },
    plan: { gripUse: 0.866, brakeUse: 0.912, driveUse: 0.988 },
    planBends: { '1': { earlyM: 5 }, '3': { lateM: 11 }, '6': { earlyM: 5 } },
    shiftS: 0.07,
    reachM: 3.45,
    wanderM: 0.08,
    wideM: 0.1,
    scatter: 1.1,
    deadS: 0.06,
    lagS: 0.07,
  },
};

/** Everyone who rides in the demo, by name; lines are found once. */
export function riders(circuit: Circuit): { reference: Rider; robot: (software: Software) => Rider } {
  const { course } = circuit;
  const line = racingLine(course, 3.7);
  const reference: Rider = {
    name: 'reference',
    machine: roadMachine(78, 3.5),
    style: REFERENCE,
    bends: { '5': { gripUse: 1 } },
    scatter: { gripUse: 0.016, brakeUse: 0.035, driveUse: 0.008, earlyM: 2, lateM: 2, lineM: 0.2 },
    shiftS: 0.035,
    smoothS: 0.11,
    line,
  };
  const robot = (software: Software): Rider => {
    const skill = SKILLS[software];
    const style = { ...REFERENCE, ...skill.style };
    const bends = Object.fromEntries(
      [...new Set([...Object.keys(skill.bends), ...Object.keys(skill.planBends)])].map((name) => [
        name,
        { ...skill.bends[name], ...skill.plan, ...skill.planBends[name] },
      ]),
    );
    const k = skill.scatter;
    return {
      name: software,
      machine: roadMachine(86, 0),
      style,
      bends: skill.bends,
      scatter: { gripUse: 0.006 * k, brakeUse: 0.015 * k, driveUse: 0.003 * k, earlyM: 1 * k, lateM: 1 * k, lineM: 0 },
      shiftS: skill.shiftS,
      smoothS: 0.14,
      line: racingLine(course, skill.reachM),
      plan: {
        style: { ...style, ...skill.plan },
        bends,
        shiftS: skill.shiftS,
        wanderM: skill.wanderM,
        wanderLengthM: 70,
        wideM: skill.wideM,
        deadS: skill.deadS,
        lagS: skill.lagS,
      },
    };
  };
  return { reference, robot };
}
