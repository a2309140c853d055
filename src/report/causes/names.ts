import type { GroupKey } from '../../causes/cause.ts';
import { CAUSES, type CauseKey } from '../../causes/list.ts';
import type { CauseWindow, Refusal, Untold } from '../../causes/schema.ts';

/** What causes and groups of them are called on pages. */
export const CAUSE_TITLES: Readonly<Record<CauseKey, string>> = {
  lineLength: 'length of the line',
  lineShape: 'shape of the line',
  onset: 'brake timing',
  intensity: 'braking strength',
  grip: 'corner speed',
  pickUp: 'pick-up',
  drive: 'drive',
  shifts: 'gear changes',
  carry: 'speed over the gate',
  machineParity: 'the machine',
  residual: 'the rest',
};

export const GROUP_TITLES: Readonly<Record<GroupKey, string>> = {
  line: 'line',
  entry: 'entry',
  apex: 'corner speed',
  exit: 'exit',
  carry: 'speed over the gate',
  machine: 'the machine',
  residual: 'the rest',
};

/** Which group a cause belongs to. */
export const GROUP_OF = Object.fromEntries(CAUSES.map(({ key, group }) => [key, group])) as Record<CauseKey, GroupKey>;

/** Why the parts of a group are not shown one by one: beside a number, and in full. */
export const REFUSALS: Readonly<Record<Refusal, { readonly short: string; readonly full: string }>> = {
  'not separable': {
    short: 'parts not separable',
    full: 'Not separable: the group is told from noise, its parts are not.',
  },
  'ill-conditioned': {
    short: 'large effects cancel here',
    full: 'Ill-conditioned: large effects cancel in this corner, so that only groups mean anything.',
  },
  'pick-up without throttle': {
    short: 'pick-up and drive are one without a throttle',
    full: 'Without a throttle channel in both logs pick-up and drive are one.',
  },
  'drive frontier not shown': {
    short: 'pick-up and drive not separable',
    full: 'Nobody showed what drive there is at this lean, so that pick-up and drive are one.',
  },
  'gear change at the edge': {
    short: 'parts not separable at a gear change',
    full: 'A gear change lies across the edge of two corners’ stretches, so that what it costs is not told from drive.',
  },
  'too few cells': { short: 'too short to split', full: 'The stretch is too short to split.' },
};

/** How a corner had to be taken, in a clause after its name. */
export const FLAGS: Readonly<Record<CauseWindow['flags'][number], string>> = {
  'no braking': 'nobody brakes',
  'one brakes': 'only one of the two brakes',
  'brake and throttle overlap': 'the throttle opens before the corner’s speed is reached',
  'two apexes': 'taken as one corner with two apexes',
  'gate in the corner': 'the stretch that the gate cuts off holds drive alone',
  'no pick-up': 'pick-up from the speed of both, as one lap has none on the throttle',
  'brakes before the window': 'the brakes are on before the stretch begins',
  'not described': 'no description fits both laps, so only the way and the rest are told',
};

/** What the logs could not tell, for the whole lap. */
export const UNTOLD: Readonly<Record<Untold, string>> = {
  'no throttle: pick-up and drive are one': 'Without a throttle channel in both logs pick-up and drive are one.',
  'no gear: gear changes are part of drive': 'Without gears in both logs what gear changes cost is part of drive.',
  'no brake: braking is read from the speed': 'Without a brake channel braking is read from the speed.',
  'no roll: lean is taken from path and speed': 'Without a roll channel lean follows from path and speed.',
  'no speed: it is taken from the positions': 'Without a speed channel speed follows from the positions.',
  'no machine data: power and drag count as equal':
    'Nobody gave the machines’ data: power and drag per mass count as equal.',
  'position too poor for the line': 'The positions are too poor to say how a line bends.',
};
