/** Paths as the manifests of a bag write them (RFC 8493, 2.1.3), always with `/`. */

/** Line feed, carriage return and the percent sign are written as `%0A`, `%0D`, `%25`; nothing else is. */
export const encodedPath = (path: string): string =>
  path.replace(/[\n\r%]/g, (sign) => ({ '\n': '%0A', '\r': '%0D', '%': '%25' })[sign]!);

/**
 * What a manifest's entry names.
 *
 * @param early true for versions before 1.0, in which the percent sign stands for itself
 */
export const decodedPath = (entry: string, early: boolean): string =>
  entry.replace(early ? /%0[AD]/gi : /%(0[AD]|25)/gi, (code) =>
    String.fromCharCode(Number.parseInt(code.slice(1), 16)),
  );

/** Why a path may not stand in a manifest; null where it may. Nothing outside the bag is ever opened. */
export function pathFault(path: string): string | null {
  if (path === '') return 'is empty';
  if (path.includes('\0')) return 'holds a zero byte';
  if (/^([/\\~]|[A-Za-z]:[/\\])/.test(path)) return 'does not begin in the bag';
  const parts = path.split(/[/\\]/).map((part) => part.replaceAll('\\', ''));
  if (parts.includes('..') || /(^|[/\\])\\?\.\\?\.([/\\]|$)/.test(path)) return 'leads out of the bag';
  if (path.split('/').some((part) => part === '' || part === '.')) return 'is not written plainly';
  return null;
}
