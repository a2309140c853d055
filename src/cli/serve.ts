import { type Command, UsageError } from './command.ts';
export const serve: Command = { name: 'serve', summary: '', usage: '', options: {}, async run() { throw new UsageError('x'); } };
