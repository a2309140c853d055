import type { CauseWindow } from '../causes/schema.ts';
import { median } from '../numbers/quantile.ts';
import type { LapResult, SessionResult } from './results.ts';

type MedianCause = NonNullable<NonNullable<SessionResult['summary']>['causes']>[number];

/**
 * What each cause cost in each corner in the median of some laps, with what its speed cost in later corners. Medians of
 * parts do not add up to the median of the whole.
 *
 * @returns in the order of the lap and of the causes; null where no lap was split by cause
 */
export function medianCauses(laps: readonly Pick<LapResult, 'causes'>[]): MedianCause[] | null {
  const all = laps.flatMap(({ causes }) => (causes ? [causes] : []));
  if (all.length === 0) return null;
  const windows = all.reduce((most, { windows }) => (windows.length > most.length ? windows : most), all[0]!.windows);
  return windows.flatMap((window) => {
    const same = all.flatMap((lap) => lap.windows.filter((w) => w.corner === window.corner && w.part === window.part));
    const keys = [...new Set(same.flatMap((w) => w.causes.map(({ cause }) => cause)))];
    return keys.map((cause): MedianCause => {
      const found = same.map((w) => w.causes.find((c) => c.cause === cause));
      const made = found.map((c) => c?.madeS ?? 0);
      return {
        corner: window.corner,
        part: window.part,
        cause,
        laps: made.length,
        medianS: median(made),
        lowS: Math.min(...made),
        highS: Math.max(...made),
        slowerLaps: made.filter((s) => s > 0).length,
        refused: mostly(same.map((w, k) => found[k]?.refused ?? (w.illConditioned ? 'ill-conditioned' : null))),
      };
    });
  });
}

/** The reason that more than half of the laps have; null where there is none. */
function mostly(reasons: readonly CauseWindow['causes'][number]['refused'][]): MedianCause['refused'] {
  const refused = reasons.filter((r) => r != null);
  if (2 * refused.length <= reasons.length) return null;
  const counted = [...Map.groupBy(refused, (r) => r)].toSorted((x, y) => y[1].length - x[1].length);
  return counted[0]![0];
}
