import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { filesBelow } from '../site/siteFolder.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** The demo’s reference session and the smallest of the others, copied to a folder of its own. */
export const SESSIONS = ['2026-01-13-reference', '2026-01-20-simulation'] as const;

/** A week's note that looks at a session and at whatever is the latest. */
const WEEK = `---
title: A first look
next:
  - The latest is :value{gap of=latest} behind.
---
The model is :claim[:value{gap} behind]{gap from=5 to=15}.

::figure{skyline}
`;

/** Copies a small part of the demo, with notes of its own. Its logs look old enough to be known again by their stamps. */
export function smallDemo(): { readonly home: string; readonly content: string; readonly sessions: string } {
  const home = mkdtempSync(join(tmpdir(), 'gapbook-small-'));
  const [content, sessions] = [join(home, 'content'), join(home, 'sessions')];
  cpSync(join(root, 'content'), content, { recursive: true });
  // What is written in the demo speaks of sessions that are not among these.
  for (const name of ['weeks', 'milestones', 'editions']) rmSync(join(content, name), { recursive: true, force: true });
  const campaign = join(content, 'campaign.md');
  const frontMatter = /^---\n[\s\S]*?\n---\n/.exec(readFileSync(campaign, 'utf8'))?.[0] ?? '';
  // The evidence of the gates is among the other sessions too.
  writeFileSync(campaign, `${frontMatter.replace(/^stageGates:\n(?: .*\n)*/m, '')}A part of it.\n`);
  mkdirSync(join(content, 'weeks'));
  writeFileSync(join(content, 'weeks', '2026-W04.md'), WEEK);
  for (const id of SESSIONS) addSession(sessions, id);
  return { home, content, sessions };
}

/** Copies one more session of the demo, under its name or another. */
export function addSession(sessions: string, id: string, as = id): void {
  cpSync(join(root, 'sample-sessions', id), join(sessions, as), { recursive: true });
  const then = new Date('2026-01-01T00:00:00Z');
  for (const name of readdirSync(join(sessions, as))) utimesSync(join(sessions, as, name), then, then);
}

/** Every file below a folder with its bytes, to compare folders by. */
export const bytesBelow = (folder: string): Map<string, string> =>
  new Map(filesBelow(folder).map((path) => [path, readFileSync(join(folder, path)).toString('latin1')]));

/** Paths that two folders do not have alike; empty where the folders are the same to the byte. */
export function differing(one: string, other: string): string[] {
  const [a, b] = [bytesBelow(one), bytesBelow(other)];
  return [...new Set([...a.keys(), ...b.keys()])].filter((path) => a.get(path) !== b.get(path)).sort();
}
