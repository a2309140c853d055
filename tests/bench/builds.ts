import { mkdirSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import type { BenchCampaign } from './makeCampaign.ts';
import { type Measured, node } from './measured.ts';

/** Whole builds by the command: the first of all but the newest session, one with
 * nothing changed, one with the newest added, and one that renders every page. */
export function builds({ folder, content, sessions }: BenchCampaign): Record<string, Omit<Measured, 'stdout'>> {
  const build = (): Omit<Measured, 'stdout'> => {
    const args = ['--content', content, '--sessions', sessions, '--out', join(folder, 'site')];
    const { stdout: _, ...rest } = node(['src/cli/gapbook.mjs', 'build', ...args, '--cache', join(folder, 'cache')]);
    return rest;
  };
  const newest = readdirSync(sessions).sort().at(-1) ?? '';
  mkdirSync(join(folder, 'aside'));
  renameSync(join(sessions, newest), join(folder, 'aside', newest));
  const cold = build();
  const warm = build();
  renameSync(join(folder, 'aside', newest), join(sessions, newest));
  const added = build();
  // Results stay, every page is rendered: what pages alone cost.
  for (const name of ['pages', 'rendered.json']) rmSync(join(folder, 'cache', name), { recursive: true, force: true });
  return { cold, 'nothing changed': warm, 'one session added': added, 'pages alone': build() };
}
