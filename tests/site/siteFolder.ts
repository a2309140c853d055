import { readdirSync, statSync } from 'node:fs';
import { join, sep } from 'node:path';

/** Every file below a folder, as paths with slashes, sorted. */
export function filesBelow(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((path) => statSync(join(folder, path)).isFile())
    .map((path) => path.split(sep).join('/'))
    .sort();
}

/** Pages of a site. The reports of editions that it carries are frozen and were looked at when they were new. */
export const pagesOf = (folder: string): string[] =>
  filesBelow(folder).filter((path) => path.endsWith('.html') && !path.startsWith('editions/'));

/** The route that a page belongs to: its folder on the first level, or itself. */
export const routeOf = (page: string): string => (page.includes('/') ? page.split('/')[0]! : page);

/** One page of each route: the one with the most to show, by size. */
export function onePerRoute(folder: string, pages: readonly string[]): string[] {
  const best = new Map<string, { page: string; size: number }>();
  for (const page of pages) {
    const { size } = statSync(join(folder, page));
    if (size > (best.get(routeOf(page))?.size ?? -1)) best.set(routeOf(page), { page, size });
  }
  return [...best.values()].map(({ page }) => page);
}
