/** Where each page and file of the site lies, relative to the site's root, and how one refers to another. */

/** Letters and digits of any script stay; everything else becomes one hyphen. Never empty. */
export function slug(text: string): string {
  const clean = text
    .normalize('NFC')
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-+|-+$/g, '');
  return clean || 'x';
}

/** `run-01-lap-3` for lap 3 of `run-01.csv`: the run's path without its extension, and the lap. */
export const lapSlug = (runFile: string, lap: number): string =>
  `${slug(runFile.replace(/(\.[A-Za-z0-9]{1,8}){1,2}$/, ''))}-lap-${lap}`;

export const frontPath = 'index.html';
export const methodPath = 'method.html';
export const problemsPath = 'problems.html';
export const claimsPath = 'claims.html';
export const progressPath = 'progress.html';
export const testDayPath = 'test-day.html';
export const directivesPath = 'directives.html';
export const evidencePath = 'evidence.html';
export const weekPath = (week: string): string => `weeks/${week}.html`;
export const milestonePath = (milestone: string): string => `milestones/${slug(milestone)}.html`;
export const briefPath = (of: string): string => `briefs/${slug(of)}.html`;
export const sessionPath = (session: string): string => `sessions/${slug(session)}.html`;
export const lapPath = (session: string, runFile: string, lap: number): string =>
  `laps/${slug(session)}/${lapSlug(runFile, lap)}.html`;
export const cornerPath = (circuit: string, corner: string): string => `corners/${slug(circuit)}/${slug(corner)}.html`;

/** Folder of the tables behind the figures of a page: `tables/sessions/x` for `sessions/x.html`. */
export const tableFolder = (page: string): string => `tables/${page.replace(/\.html$/, '')}`;

/** Site paths of a table's rows in the two forms. */
export interface TableLinks {
  readonly csv: string;
  readonly json: string;
}

/** Where the rows of a table lie that belongs to a page. */
export const tableLinks = (page: string, name: string): TableLinks => ({
  csv: `${tableFolder(page)}/${name}.csv`,
  json: `${tableFolder(page)}/${name}.json`,
});

/**
 * A reference from one page to another file of the site, as it goes into `href`: relative, so that it holds on any
 * host, below any path and from a file.
 *
 * @param from site path of the page that holds the link
 * @param to site path of the target, with `#anchor` where wanted; an anchor alone stays on the page
 */
export function relative(from: string, to: string): string {
  if (to.startsWith('#') || /^[a-z]+:/i.test(to)) return to;
  const [path = '', anchor] = to.split('#');
  const folders = from.split('/').slice(0, -1);
  const target = path.split('/');
  let shared = 0;
  while (shared < folders.length && shared < target.length - 1 && folders[shared] === target[shared]) shared += 1;
  const parts = [...folders.slice(shared).map(() => '..'), ...target.slice(shared).map(encodeURIComponent)];
  return parts.join('/') + (anchor === undefined ? '' : `#${encodeURIComponent(anchor)}`);
}
