import { type Results, readResults } from '../../report/readResults.ts';

let known: { readonly results: Results; readonly version: string } | undefined;

/** The results that the pages of this build show, from the folder that GAPBOOK_RESULTS names. Read once. */
export function results(): Results {
  const folder = process.env['GAPBOOK_RESULTS'];
  if (!folder) throw new Error('GAPBOOK_RESULTS is not set: it names the folder with campaign.json and results/');
  // A server renders pages of the same folder again when what it holds has changed.
  const version = `${folder} ${process.env['GAPBOOK_VERSION'] ?? ''}`;
  if (known?.version !== version) known = { results: readResults(folder), version };
  return known.results;
}
