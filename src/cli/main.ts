import { machine } from '../effects.ts';
import { build } from './build.ts';
import { check } from './check.ts';
import { argumentsOf, type Command, type ExitStatus, helpOf, UsageError } from './command.ts';
import { gap } from './gap.ts';
import { fresh } from './new.ts';
import { serve } from './serve.ts';
import { toolVersion } from './toolVersion.ts';

const COMMANDS: readonly Command[] = [check, build, gap, fresh, serve];

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
  const command = COMMANDS.find(({ name }) => name === first);
  if (!command) {
    effects.err(`no command \`${first}\`; there are ${COMMANDS.map(({ name }) => `\`${name}\``).join(', ')}`);
    return 2;
  }
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
