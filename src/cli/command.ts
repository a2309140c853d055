import { type ParseArgsConfig, parseArgs } from 'node:util';
import type { Effects } from '../effects.ts';

/** 0 done, 1 a problem that stops and is not accepted, 2 wrong usage. */
export type ExitStatus = 0 | 1 | 2;

/** One command of the tool. Adding one is a file with such an object and its line in main.ts. */
export interface Command {
  readonly name: string;
  /** Whole help text, without the options. */
  readonly usage: string;
  readonly options: Readonly<Record<string, Option>>;
  run(args: Arguments, effects: Effects): Promise<ExitStatus>;
}

interface Option {
  readonly kind: 'text' | 'flag';
  readonly help: string;
  readonly default?: string;
}

export interface Arguments {
  readonly words: readonly string[];
  text(name: string): string | null;
  flag(name: string): boolean;
}

/** What every command that looks at a campaign takes. */
export const FOLDER_OPTIONS = {
  content: { kind: 'text', help: 'folder with campaign.md and circuits', default: 'content' },
  sessions: { kind: 'text', help: 'folder with a folder for each session', default: 'sample-sessions' },
} as const satisfies Record<string, Option>;

export const JSON_OPTION = { json: { kind: 'flag', help: 'print JSON instead of text' } } as const satisfies Record<
  string,
  Option
>;

/** Words and options of a command line that this command cannot take. */
export class UsageError extends Error {}

/** Reads the command line of one command. Throws UsageError in words that say what to change. */
export function argumentsOf(command: Command, argv: readonly string[]): Arguments & { readonly help: boolean } {
  const options: ParseArgsConfig['options'] = { help: { type: 'boolean', short: 'h' } };
  for (const [name, { kind }] of Object.entries(command.options))
    options[name] = { type: kind === 'flag' ? 'boolean' : 'string' };
  let parsed: ReturnType<typeof parseArgs>;
  try {
    parsed = parseArgs({ args: [...argv], options, allowPositionals: true, strict: true });
  } catch (error) {
    const said = error instanceof Error ? (error.message.split('. ')[0] ?? '') : String(error);
    throw new UsageError(`${said}; \`gapbook ${command.name} --help\` lists the options`);
  }
  return {
    words: parsed.positionals,
    help: parsed.values['help'] === true,
    text(name) {
      const given = parsed.values[name];
      return typeof given === 'string' ? given : (command.options[name]?.default ?? null);
    },
    flag: (name) => parsed.values[name] === true,
  };
}

/** A command's help, options with their defaults included. */
export function helpOf(command: Command): string {
  const rows = Object.entries(command.options).map(([name, option]): [string, string] => [
    `--${name}${option.kind === 'text' ? ' …' : ''}`,
    option.help + (option.default === undefined ? '' : ` (${option.default})`),
  ]);
  rows.push(['--help', 'this text']);
  const width = Math.max(...rows.map(([left]) => left.length));
  return `${command.usage}\n\nOptions\n${rows.map(([left, right]) => `  ${left.padEnd(width)}  ${right}`).join('\n')}`;
}
