import type { SessionResult } from '../campaign/results.ts';
import { figureOf } from './figureOf.ts';
import { skyline } from './figures/skyline.ts';
import { largestCaption, MEDIAN_DIGITS, medianBlock, medianCells, windowMedians } from './medians.ts';
import type { Results } from './readResults.ts';
import type { Figure } from './report.ts';

/**
 * Where the median lap of a session loses its time, as the page of a session, a milestone and the campaign show it.
 *
 * @param lengthM of the circuit
 */
export function medianSkyline(
  results: Results,
  session: SessionResult,
  lengthM: number,
  own: Pick<Figure, 'number' | 'source' | 'doubts'> & Partial<Pick<Figure, 'table'>>,
): Figure {
  return figureOf(
    {
      id: 'skyline',
      title: 'Where the time goes',
      caption: largestCaption(session),
      key: 'Medians over the counted laps; the hair lines are their range. Each block is one phase: as wide as it is long on the ground, as high as its loss per 100\u202fm, so its area is seconds. Hatched B is braking, plain A apex, dotted D drive.',
      table: medianCells('skyline-data', session),
      ...own,
    },
    (form, id, name) =>
      skyline(form, id, name, {
        blocks: (session.summary?.cells ?? []).map(medianBlock),
        lengthM,
        digits: MEDIAN_DIGITS,
        sums: windowMedians(results, session),
      }),
  );
}
