import { adjusted } from './adjusted.ts';
import { type Conditions, type Confounder, confounders } from './confounders.ts';
import { seedOf } from './random.ts';
import { type Step, steps } from './steps.ts';

export interface VersionedSession {
  readonly session: string;
  /** Time since any fixed date. */
  readonly weeks: number;
  /** Software version; null where none is noted. */
  readonly version: string | null;
  readonly conditions: Conditions;
  /** Median of the session by corner, cause or whatever is looked at, s; a key may be missing or null. */
  readonly values: Readonly<Record<string, number | null>>;
}

export interface VersionStep extends Step {
  readonly key: string;
  /** First session after the step, and the last one before it. */
  readonly session: string;
  readonly previous: string;
  /** Null for a step without a known cause: no new version came in at this place. */
  readonly version: { readonly from: string | null; readonly to: string | null } | null;
  /** p after Benjamini & Hochberg over all that was looked at. */
  readonly q: number;
  /** Other reasons that the records do not rule out. */
  readonly confounders: readonly Confounder[];
}

/** Chance that a campaign without a step shows any at a new version, and again that it shows any elsewhere. */
export const FALSE_ALARM = 0.05;

/**
 * Which version moved which corner and cause: steps at new versions, then, beside them, steps where no version changed.
 *
 * @param sessions in order of time, of one circuit
 * @param families what to look at, each key a series of its own: the lap, its corners, … A session without the value is left
 * out of that series. All that is looked at shares one chance of a false alarm, dealt out equally among the families, so
 * that many corners do not hide a step of the lap and many looks do not find one
 * @returns by key, then time
 *
 * See `steps` for the method and what it needs.
 */
export function versionSteps(
  sessions: readonly VersionedSession[],
  families: readonly (readonly string[])[],
): VersionStep[] {
  const keys = families.flat();
  const weights = families.flatMap((family) => family.map(() => 1 / family.length));
  const looked = keys.map((key) => seriesSteps(sessions, key));
  return (['atVersions', 'elsewhere'] as const)
    .flatMap((place) => {
      const series = looked.map((found) => found[place]);
      // A series without a step has no small p; 1 keeps its place among the others.
      const first = series.map((found) => Math.min(1, ...found.map(({ p }) => p)));
      const q = adjusted(first, weights);
      return series.flatMap((found, i) => found.map((step) => ({ ...step, q: Math.max(step.p, q[i]!) })));
    })
    .filter(({ q }) => q <= FALSE_ALARM)
    .sort((a, b) => keys.indexOf(a.key) - keys.indexOf(b.key) || a.place - b.place)
    .map(({ place: _, ...step }) => step);
}

/** Steps of one series at new versions, and beside those steps elsewhere. */
function seriesSteps(sessions: readonly VersionedSession[], key: string) {
  const kept = sessions.flatMap((s, place) => {
    const value = s.values[key];
    return value === null || value === undefined || Number.isNaN(value) ? [] : [{ ...s, place, value }];
  });
  const weeks = kept.map((s) => s.weeks);
  const values = kept.map(({ value }) => value);
  const changes = kept.flatMap(({ version }, i) => (i > 0 && version !== kept[i - 1]!.version ? [i] : []));
  const seed = seedOf(key, weeks, values);
  const moved = steps(weeks, values, seed, { candidates: changes });
  const unasked = steps(weeks, values, seed + 1, {
    candidates: kept.map((_, i) => i).filter((i) => !changes.includes(i)),
    known: moved.map(({ at }) => at),
  });
  const described = (found: readonly Step[], known: boolean) =>
    found.map((step) => {
      const [before, after] = [kept[step.at - 1]!, kept[step.at]!];
      return {
        ...step,
        key,
        place: after.place,
        session: after.session,
        previous: before.session,
        version: known ? { from: before.version, to: after.version } : null,
        confounders: confounders(before.conditions, after.conditions),
      };
    });
  return { atVersions: described(moved, true), elsewhere: described(unasked, false) };
}
