import { GROUPS, type GroupKey } from '../../causes/cause.ts';
import type { CauseKey } from '../../causes/list.ts';
import type { CauseWindow, LapCauses, Refusal } from '../../causes/schema.ts';
import { CAUSE_TITLES, GROUP_OF, GROUP_TITLES } from './names.ts';

/** A line of an account by cause: a cause, or a group whose parts the data does not tell apart. */
export interface Told {
  readonly key: CauseKey | GroupKey;
  readonly title: string;
  readonly group: GroupKey;
  /** With what its speed costs in later corners. */
  readonly gapS: number;
  /** 90 %; null where no interval was worked out. */
  readonly lowS: number | null;
  readonly highS: number | null;
  /** Why it is a group and no cause. */
  readonly why: Refusal | null;
  readonly fact: Readonly<Record<string, number>> | null;
}

/** What a window says: causes where the data tells them apart, else their group. */
export function toldOf(window: CauseWindow): Told[] {
  return GROUPS.flatMap((group): Told[] => {
    const members = window.causes.filter(({ cause }) => GROUP_OF[cause] === group);
    const whole = window.groups.find((g) => g.group === group);
    if (members.length === 0 || !whole) return [];
    const why = members.find(({ refused }) => refused)?.refused ?? null;
    if (why !== null) return [{ ...groupLine(window, group)!, why }];
    return members.map((c) => ({
      key: c.cause,
      title: CAUSE_TITLES[c.cause],
      group,
      gapS: c.madeS,
      lowS: c.madeLowS ?? null,
      highS: c.madeHighS ?? null,
      why: null,
      fact: c.fact ?? null,
    }));
  });
}

/** A group of a window as a whole; null where the laps do not differ in it. */
export function groupLine(window: CauseWindow, group: GroupKey): Told | null {
  const whole = window.groups.find((g) => g.group === group);
  return whole
    ? {
        key: group,
        title: GROUP_TITLES[group],
        group,
        gapS: whole.madeS,
        lowS: whole.madeLowS ?? null,
        highS: whole.madeHighS ?? null,
        why: null,
        fact: null,
      }
    : null;
}

/** Groups are shown by their causes where the corners in which these are not told apart hold less of them than this. */
const MOST_UNTOLD = 1 / 3;

/** What the whole lap says, in the order of the causes. */
export function toldOfLap(causes: LapCauses): Told[] {
  return GROUPS.flatMap((group): Told[] => {
    const whole = causes.groups.find((g) => g.group === group);
    const members = causes.causes.filter((c) => c.group === group && c.gapS !== 0);
    if (!whole || members.length === 0) return [];
    const lines = causes.windows.flatMap((w) => toldOf(w).filter((line) => line.group === group));
    const size = (some: readonly Told[]): number => some.reduce((sum, { gapS }) => sum + Math.abs(gapS), 0);
    const untold = lines.filter(({ why }) => why !== null);
    const line = (of: { gapS: number; lowS?: number | null | undefined; highS?: number | null | undefined }) => ({
      group,
      gapS: of.gapS,
      lowS: of.lowS ?? null,
      highS: of.highS ?? null,
      fact: null,
    });
    if (size(untold) > MOST_UNTOLD * size(lines))
      return [{ key: group, title: GROUP_TITLES[group], why: untold[0]!.why, ...line(whole) }];
    return members.map((c) => ({ key: c.cause, title: CAUSE_TITLES[c.cause], why: null, ...line(c) }));
  });
}

/** Whether the 90 % interval reaches zero; without one, whether it is less than what is ever certain. */
export function isNoise({ gapS, lowS, highS }: Pick<Told, 'gapS' | 'lowS' | 'highS'>): boolean {
  return lowS === null || highS === null ? Math.abs(gapS) < LEAST_S : lowS <= 0 && highS >= 0;
}

/** Below this no cause of a corner is told from noise, s. */
const LEAST_S = 0.015;
