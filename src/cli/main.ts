import { enableCompileCache } from 'node:module';
import { fileURLToPath } from 'node:url';
import { machine } from '../effects.ts';
import { argumentsOf, type Command, type ExitStatus, helpOf, UsageError } from './command.ts';
import { fitEngine } from './engine.ts';
import { toolVersion } from './toolVersion.ts';

fitEngine();

// What is compiled once need not be compiled at the next start; where the folder can't be written, it simply is.
enableCompileCache(fileURLToPath(new URL('../../node_modules/.cache/gapbook', import.meta.url)));

/** Each command is loaded when it is asked for: the paddock does not wait for the page builder. */
const COMMANDS: readonly { name: string; summary: string; load(): Promise<Command> }[] = [
  {
    name: 'check',
    summary: 'reads everything and prints every problem; writes nothing',
    load: async () => (await import('./check.ts')).check,
  },
  {
    name: 'build',
    summary: 'analyses what changed and renders the site',
    load: async () => (await import('./build.ts')).build,
  },
  { name: 'gap', summary: 'the ledger of one run, in the terminal', load: async () => (await import('./gap.ts')).gap },
  {
    name: 'new',
    summary: 'writes a first session file, week’s note, circuit or phase map to edit',
    load: async () => (await import('./new.ts')).fresh,
  },
  {
    name: 'confirm',
    summary: 'notes that the claims of a file were read and are right',
    load: async () => (await import('./confirm.ts')).confirm,
  },
  {
    name: 'serve',
    summary: 'builds, serves on this machine, builds again on change',
    load: async () => (await import('./serve.ts')).serve,
  },
  {
    name: 'publish',
    summary: 'freezes the next edition of a milestone, with its evidence',
    load: async () => (await import('./publish.ts')).publish,
  },
  {
    name: 'verify',
    summary: 'checks an edition’s bytes and recomputes its figures',
    load: async () => (await import('./verify.ts')).verify,
  },
  {
    name: 'print',
    summary: 'a page of the site as PDF',
    load: async () => (await import('./print.ts')).print,
  },
];

const CAUTION =
  'Riding at the limit can kill. The report describes laps that were ridden; it clears no machine, rider or software to run.\nTrack rules, the safety officer of the circuit, local codes and licensed professionals decide.';

function overview(): string {
  const width = Math.max(...COMMANDS.map(({ name }) => name.length));
  return `gapbook ${toolVersion()}: where, lap by lap, an autonomous rider loses time against a reference rider\n\nCommands\n${COMMANDS.map(
    ({ name, summary }) => `  gapbook ${name.padEnd(width)}  ${summary}`,
  ).join('\n')}\n\n\`gapbook COMMAND --help\` says more.\n\n${CAUTION}`;
}

async function main(argv: readonly string[]): Promise<ExitStatus> {
  const effects = machine();
  const [first, ...rest] = argv;
  if (first === undefined || first === '--help' || first === '-h' || first === 'help') {
    effects.out(overview());
    return first === undefined ? 2 : 0;
  }
  if (first === '--version') {
    effects.out(toolVersion());
    return 0;
  }
  const found = COMMANDS.find(({ name }) => name === first);
  if (!found) {
    effects.err(`no command \`${first}\`; there are ${COMMANDS.map(({ name }) => `\`${name}\``).join(', ')}`);
    return 2;
  }
  const command = await found.load();
  try {
    const args = argumentsOf(command, rest);
    if (args.help) {
      effects.out(helpOf(command));
      return 0;
    }
    return await command.run(args, effects);
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    effects.err(error.message);
    return 2;
  }
}

// A reader such as `head` may close the pipe early; that is no fault.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(0);
  throw error;
});
process.exitCode = await main(process.argv.slice(2));
