import { resolve } from 'node:path';
import type { Effects } from '../effects.ts';
import type { Results } from '../report/readResults.ts';
import type { Arguments } from './command.ts';
import { alone, LOCK } from './lock.ts';
import { writeResults } from './resultsFolder.ts';

export const CACHE_OPTION = {
  cache: { kind: 'text', help: 'folder for results in between; always safe to delete', default: '.cache/gapbook' },
} as const;

/** The results of a campaign as a build would make them, what is unchanged from the last one. */
export async function cachedResults(args: Arguments, effects: Effects): Promise<Results> {
  const folder = (name: string): string => resolve(args.text(name) ?? '');
  // What was analysed is no news to somebody who asks for a note.
  const quiet: Effects = { ...effects, out: () => {} };
  return alone(LOCK, effects, () =>
    writeResults({ content: folder('content'), sessions: folder('sessions') }, folder('cache'), null, quiet),
  );
}
