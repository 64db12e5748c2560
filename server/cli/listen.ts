import { addAbortSignal } from 'node:stream';
import { Command, Option } from 'commander';
import { packSamples } from '../../decoders/audio/wav-write.ts';
import { RAW_ENCODINGS, type RawEncoding, RawSamples } from '../../decoders/live/index.ts';
import { StreamListening } from '../listen/listening.ts';
import { type ExitCode, exitCode } from './exit.ts';
import type { Io } from './io.ts';
import { type LiveFormatName, livePrinter } from './listen/live-output.ts';
import { Relay } from './listen/relay.ts';
import { loadMissions, missionOption } from './missions.ts';
import { parseCount, parsePositive } from './numbers.ts';
import { withSink } from './output/sink.ts';
import { interrupted } from './send/follow.ts';
import { KEY_VARIABLE, keyOf } from './send.ts';

interface ListenOptions {
  readonly rate: number;
  readonly encoding: RawEncoding;
  readonly channels: number;
  readonly mission: readonly string[];
  readonly format: LiveFormatName;
  readonly to?: string;
  readonly keyFile?: string;
  readonly station?: string;
  readonly phase?: string;
  readonly spool: string;
}

export function listenCommand(io: Io, report: (code: ExitCode) => void): Command {
  return new Command('listen')
    .summary('reads live samples from standard input')
    .description(
      'Reads bare samples from standard input and prints characters as they come, then each burst with its frames. With ' +
        `--to it also sends them to a server, under the station's key from ${KEY_VARIABLE} or a file; while the server ` +
        'is not reached, bursts are kept in a folder and sent later.',
    )
    .option('--rate <hz>', 'samples a second, 8000 to 192000', parsePositive, 48_000)
    .addOption(
      new Option('--encoding <encoding>', 'how a sample lies').choices(Object.keys(RAW_ENCODINGS)).default('s16le'),
    )
    .option('--channels <number>', 'interleaved channels; the first is read', parseCount, 1)
    .addOption(missionOption())
    .addOption(new Option('--format <format>', 'how to print').choices(['text', 'ndjson']).default('text'))
    .option('--to <url>', 'address of the server, for instance https://example.org')
    .option('--key-file <file>', `file that holds the station's key, in place of ${KEY_VARIABLE}`)
    .option('--station <call-sign>', 'who listens; without it the station whose key it is')
    .addOption(new Option('--phase <phase>', 'what is listened to').choices(['bench', 'rehearsal', 'flight']))
    .option('--spool <folder>', 'where bursts are kept while the server is not reached', 'fiveunit-spool')
    .action(async (options: ListenOptions) => report(await listen(io, options)));
}

async function listen(io: Io, options: ListenOptions): Promise<ExitCode> {
  const { rate, encoding, channels, format, to } = options;
  const missions = await loadMissions(options.mission, io);
  const startedMs = Date.now();
  const startedAt = new Date(startedMs).toISOString();
  const print = livePrinter(format, missions, startedAt);
  const relay =
    to === undefined ? null : new Relay({ ...options, to, key: await keyOf(io, options), missions, startedMs }, io);
  const raw = new RawSamples(encoding, channels);
  let bursts = 0;
  let pending = '';
  const listening = new StreamListening({ sampleRateHz: rate, encoding, channels, missions, startedAt }, (note) => {
    if (note.type === 'cut') return relay?.keep(note.cut);
    if (note.event.type === 'burst') bursts++;
    pending += print(note.event);
  });
  await withSink(io, undefined, async (sink) => {
    const flush = async (): Promise<void> => {
      if (pending === '') return;
      const text = pending;
      pending = '';
      await sink.write(text);
    };
    try {
      for await (const bytes of addAbortSignal(interrupted(), io.stdin)) {
        raw.push(bytes, (samples) => {
          relay?.push(packSamples([samples], samples.length, 'pcm16'));
          listening.takeSamples(samples);
        });
        await relay?.settle();
        await flush();
      }
    } catch (error) {
      // Ctrl-C: what was heard is read to its end
      if (!(error instanceof Error && error.name === 'AbortError')) throw error;
    }
    listening.end();
    await flush();
  });
  const left = (await relay?.end()) ?? 0;
  return bursts === 0 || left > 0 ? exitCode.incomplete : exitCode.done;
}
