import { join, resolve } from 'node:path';
import type { Arguments } from './command.ts';

export const EDITIONS_OPTION = {
  editions: { kind: 'text', help: 'folder of editions, one folder a milestone in it (`editions` in --content)' },
} as const;

/** Where editions are, or go. */
export const editionsFolder = (args: Arguments): string =>
  resolve(args.text('editions') ?? join(args.text('content') ?? '', 'editions'));
