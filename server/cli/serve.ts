import { once } from 'node:events';
import { Command } from 'commander';
import { type ExitCode, exitCode } from './exit.ts';
import type { Io } from './io.ts';
import { parsePort } from './numbers.ts';

interface ServeOptions {
  readonly port: number;
  readonly host: string;
  readonly data: string;
  readonly demo: boolean;
  readonly open: boolean;
}

export const USUAL_DATA_FOLDER = 'data';

export function serveCommand(io: Io, report: (code: ExitCode) => void): Command {
  return new Command('serve')
    .summary('starts the server with its pages')
    .description(
      'Starts the server: the pages for mission team and stations, uploads, decoding, and the HTTP interface.',
    )
    .option('--port <number>', 'port to listen on; 0 for any that is free', parsePort, 8080)
    .option('--host <address>', 'address to listen on', '127.0.0.1')
    .option('--data <folder>', 'where everything is kept', USUAL_DATA_FOLDER)
    .option('--demo', 'fill it with an invented satellite and two weeks of its history', false)
    .option('--open', 'let machines other than this one in', false)
    .action(async (options: ServeOptions) => report(await serveUntilStopped(io, options)));
}

async function serveUntilStopped(io: Io, { port, host, data, demo, open }: ServeOptions): Promise<ExitCode> {
  // The other commands start without the server's libraries.
  const { serve } = await import('../serve.ts');
  const server = await serve({ port, host, dataDir: data, demo, open });
  io.stdout.write(`Fiveunit is at ${server.url}\n`);
  if (demo) io.stdout.write('It shows an invented satellite. Hand over samples/dunlin-power.wav to see it decoded.\n');
  if (server.teamKeyPath !== null) io.stdout.write(`The team's key is in ${server.teamKeyPath}\n`);
  io.stdout.write('Ctrl-C stops it.\n');
  await Promise.race([once(process, 'SIGINT'), once(process, 'SIGTERM')]);
  io.stdout.write('Stopping ...\n');
  await server.close();
  return exitCode.done;
}
