import { type Results, readResults } from '../../report/readResults.ts';

let known: Results | undefined;

/** The results that the pages of this build show, from the folder that GAPBOOK_RESULTS names. Read once. */
export function results(): Results {
  const folder = process.env['GAPBOOK_RESULTS'];
  if (!folder) throw new Error('GAPBOOK_RESULTS is not set: it names the folder with campaign.json and results/');
  if (known?.folder !== folder) known = readResults(folder);
  return known;
}
