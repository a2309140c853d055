import { type Command, UsageError } from './command.ts';
export const fresh: Command = { name: 'new', summary: '', usage: '', options: {}, async run() { throw new UsageError('x'); } };
