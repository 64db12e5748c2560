import { once } from 'node:events';
import { Command } from 'commander';
import type { RunningServer } from '../serve.ts';
import { type ExitCode, exitCode } from './exit.ts';
import { complain, type Io } from './io.ts';
import { parseProxies, parsePublicUrl, tlsFilesOf, USUAL_PROXY } from './network.ts';
import { parsePort } from './numbers.ts';

interface ServeOptions {
  readonly port: number;
  readonly host: string;
  readonly data: string;
  readonly demo: boolean;
  readonly open: boolean;
  readonly tlsCert?: string;
  readonly tlsKey?: string;
  readonly publicUrl?: string;
  /** True when no proxies were named. */
  readonly trustProxy?: string | true;
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
    .option('--tls-cert <file>', 'certificate (PEM), to speak HTTPS; with --tls-key. SIGHUP reads both anew')
    .option('--tls-key <file>', 'its key (PEM)')
    .option('--public-url <url>', 'where people reach it, when a proxy stands before it', parsePublicUrl)
    .option(
      '--trust-proxy [addresses]',
      `believe what proxies say of their callers; without addresses those on this machine ("${USUAL_PROXY}")`,
      parseProxies,
    )
    .action(async (options: ServeOptions) => report(await serveUntilStopped(io, options)));
}

async function serveUntilStopped(io: Io, options: ServeOptions): Promise<ExitCode> {
  const { port, host, data, demo, open, publicUrl, trustProxy } = options;
  const tls = tlsFilesOf(options.tlsCert, options.tlsKey);
  // The other commands start without the server's libraries.
  const { serve } = await import('../serve.ts');
  const server = await serve({
    ...{ port, host, dataDir: data, demo, open },
    ...(tls === null ? {} : { tls }),
    ...(publicUrl === undefined ? {} : { publicUrl }),
    ...(trustProxy === undefined ? {} : { trustProxy: trustProxy === true ? USUAL_PROXY : trustProxy }),
  });
  const behind = publicUrl === undefined ? '' : `, for people at ${publicUrl}`;
  io.stdout.write(`Fiveunit is at ${server.url}${behind}\n`);
  if (demo) io.stdout.write('It shows an invented satellite. Hand over samples/dunlin-power.wav to see it decoded.\n');
  if (server.teamKeyPath !== null) io.stdout.write(`The team's key is in ${server.teamKeyPath}\n`);
  io.stdout.write('Ctrl-C stops it.\n');
  if (tls !== null) process.on('SIGHUP', () => void renew(server, io));
  await Promise.race([once(process, 'SIGINT'), once(process, 'SIGTERM')]);
  io.stdout.write('Stopping ...\n');
  await server.close();
  return exitCode.done;
}

/** A certificate that cannot be used leaves the old one in force. */
async function renew({ renewTls }: RunningServer, io: Io): Promise<void> {
  try {
    await renewTls();
    io.stdout.write('Certificate and key were read anew.\n');
  } catch (error) {
    complain(io, `${error instanceof Error ? error.message : error}; the old certificate stays`);
  }
}
