import { Command, CommanderError } from 'commander';
import { FiveunitError } from '../../decoders/errors.ts';
import { nearest } from '../../decoders/mission/nearest.ts';
import { packageVersion } from '../package-root.ts';
import { CommandError, type ExitCode, exitCode } from './exit.ts';
import { complain, type Io } from './io.ts';
import { OutputClosed } from './output/sink.ts';

/** Loaded when they are called for: a command should not wait for what the others need. */
const commands = {
  decode: async () => (await import('./decode.ts')).decodeCommand,
  read: async () => (await import('./read.ts')).readCommand,
  listen: async () => (await import('./listen.ts')).listenCommand,
  simulate: async () => (await import('./simulate.ts')).simulateCommand,
  check: async () => (await import('./check.ts')).checkCommand,
  serve: async () => (await import('./serve.ts')).serveCommand,
  send: async () => (await import('./send.ts')).sendCommand,
  station: async () => (await import('./station.ts')).stationCommand,
};

/**
 * Runs one command line.
 *
 * @param args what follows the program's name.
 * @returns the exit code. Never throws for anything that a person typed or a file held.
 */
export async function runCommandLine(args: readonly string[], io: Io): Promise<ExitCode> {
  let code: ExitCode = exitCode.done;
  const report = (result: ExitCode) => {
    code = result;
  };
  const program = new Command('fiveunit')
    .description('Turns slow five-unit teletype telemetry of small satellites into readings that can be trusted.')
    .version(packageVersion(), '--version', 'print the version')
    .addHelpText('after', '\n"fiveunit COMMAND --help" tells more about a command.');
  const called = Object.entries(commands).filter(([name]) => name === args[0]);
  for (const [, load] of called.length > 0 ? called : Object.entries(commands)) {
    program.addCommand((await load())(io, report));
  }
  prepare(program, io);
  try {
    await program.parseAsync(args, { from: 'user' });
    return code;
  } catch (error) {
    return explain(error, io);
  }
}

/** Gives a command and those below it our own way to fail. */
function prepare(command: Command, io: Io): void {
  command.exitOverride().configureOutput({
    writeOut: (text) => io.stdout.write(text),
    writeErr: (text) => io.stderr.write(text),
    // Said once, by `explain`.
    outputError: () => {},
  });
  if (command.commands.length > 0) {
    command.on('command:*', ([word]: string[]) => {
      throw new CommandError('unknown-command', unknownCommand(word, command));
    });
  }
  for (const child of command.commands) prepare(child, io);
}

function unknownCommand(word: string, among: Command): string {
  const names = among.commands.map((command) => command.name());
  const near = among.commands.find((command) => command.name() === nearest(word, names));
  const help =
    near === undefined
      ? `There are ${names.join(', ')}.`
      : `Nearest: ${pathOf(near)} ${near.usage()} - ${near.summary()}.`;
  return `there is no command "${pathOf(among)} ${word}". ${help}`;
}

function pathOf(command: Command): string {
  return command.parent === null ? command.name() : `${pathOf(command.parent)} ${command.name()}`;
}

function explain(error: unknown, io: Io): ExitCode {
  // Whoever read our output has seen enough.
  if (error instanceof OutputClosed) return exitCode.done;
  if (error instanceof CommanderError) {
    if (error.exitCode === 0) return exitCode.done;
    // Without any command the help has been printed; everything else still has to be said.
    if (error.code !== 'commander.help') complain(io, `${error.message.replace(/^error: /, '')} (see --help)`);
    return exitCode.refused;
  }
  if (error instanceof FiveunitError) {
    complain(io, error.message);
    return error instanceof CommandError ? error.exitCode : exitCode.refused;
  }
  complain(io, `this should not happen, please report it: ${error instanceof Error ? error.stack : String(error)}`);
  return exitCode.refused;
}
