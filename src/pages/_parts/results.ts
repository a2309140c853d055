import type { StoredResults } from '../../report/readResults.ts';

// Pages run in the process of their build but from a bundle, which has a copy of this module of its own: what is handed
// over lies where both copies look.
const PLACE = Symbol.for('gapbook.results');
const both = globalThis as { [PLACE]?: StoredResults };

/** Gives pages the results that they show from now on. */
export function handOver(results: StoredResults): void {
  both[PLACE] = results;
}

/** The results that the pages show. */
export function results(): StoredResults {
  const given = both[PLACE];
  if (!given)
    throw new Error('There are no results to show: pages are rendered by `gapbook build` and `gapbook serve`');
  return given;
}
