import type { SessionResult } from '../campaign/results.ts';

/** The surface of a session in a word where it was not dry, such as `wet`; empty where it was, or is not known. */
export function surfaceRemark({ conditions }: Pick<SessionResult, 'conditions'>): string {
  const surface = conditions['surface']?.trim() ?? '';
  return surface === '' || surface.toLowerCase() === 'dry' ? '' : surface;
}
