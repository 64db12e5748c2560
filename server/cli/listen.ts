import { addAbortSignal } from 'node:stream';
import { Command, Option } from 'commander';
import { packSamples } from '../../decoders/audio/wav-write.ts';
import { bytesPerRawSample, RAW_ENCODINGS, type RawEncoding, RawSamples } from '../../decoders/live/index.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { StreamListening } from '../listen/listening.ts';
import { CommandError, type ExitCode, exitCode } from './exit.ts';
import { untilInterrupted } from './interrupt.ts';
import { complain, type Io } from './io.ts';
import { keepHeapLean } from './lean-heap.ts';
import { BAND_TYPES, BandListening, bandType } from './listen/band-listening.ts';
import { type LiveFormatName, livePrinter } from './listen/live-output.ts';
import { Relay } from './listen/relay.ts';
import { loadMissions, missionOption } from './missions.ts';
import { parseCount, parseNumber, parsePositive } from './numbers.ts';
import { withSink } from './output/sink.ts';
import { KEY_VARIABLE, keyOf } from './send.ts';

interface ListenOptions {
  readonly rate: number;
  readonly encoding: string;
  readonly iq?: true | number;
  readonly channels: number;
  readonly mission: readonly string[];
  readonly format: LiveFormatName;
  readonly to?: string;
  readonly keyFile?: string;
  readonly station?: string;
  readonly phase?: string;
  readonly spool: string;
}

const RAW_ENCODING_NAMES = Object.keys(RAW_ENCODINGS) as RawEncoding[];

export function listenCommand(io: Io, report: (code: ExitCode) => void): Command {
  return new Command('listen')
    .summary('reads live samples from standard input')
    .description(
      'Reads bare samples from standard input and prints characters as they come, then each burst with its frames. With ' +
        `--to it also sends them to a server, under the station's key from ${KEY_VARIABLE} or a file; while the server ` +
        'is not reached, bursts are kept in a folder and sent later.',
    )
    .option(
      '--rate <hz>',
      'samples a second, 8000 to 192000; of I/Q beyond 512000 only a part is searched',
      parsePositive,
      48_000,
    )
    .addOption(
      new Option('--encoding <encoding>', 'how a sample lies')
        .choices([...Object.keys(RAW_ENCODINGS), ...Object.keys(BAND_TYPES)])
        .default('s16le'),
    )
    .option(
      '--iq [centre-hz]',
      'I and Q in turn of a complex band, with this frequency at zero; bursts only, none of it sent',
      parseNumber,
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
  keepHeapLean();
  if (options.iq !== undefined && options.to !== undefined) {
    throw new CommandError('iq-not-live', '--iq does not go with --to: record I/Q, and send the recording');
  }
  const missions = await loadMissions(options.mission, io);
  const key = options.to === undefined ? null : await keyOf(io, options);
  return withSink(io, undefined, async (sink) => {
    const open = (startedMs: number) =>
      options.iq === undefined
        ? new Receiving(options, missions, key, startedMs, io)
        : new BandReceiving(options, missions, startedMs, io);
    let receiving: ReturnType<typeof open> | null = null;
    try {
      await untilInterrupted(async (signal) => {
        for await (const bytes of addAbortSignal(signal, io.stdin)) {
          receiving ??= open(startOf(bytes, options));
          await sink.write(await receiving.take(bytes));
        }
      });
    } catch (error) {
      // Ctrl-C: what was heard is read to its end
      if (!(error instanceof Error && error.name === 'AbortError')) throw error;
    }
    receiving ??= open(Date.now());
    await sink.write(receiving.end());
    const left = await receiving.give();
    return receiving.bursts === 0 || left > 0 ? exitCode.incomplete : exitCode.done;
  });
}

/** When the first sample was received: its block has just come. */
function startOf(first: Uint8Array, { rate, encoding, channels, iq }: ListenOptions): number {
  const frameBytes =
    iq === undefined ? channels * bytesPerRawSample(soundEncoding(encoding)) : BAND_TYPES[bandType(encoding)];
  const frames = Math.floor(first.length / frameBytes);
  return Date.now() - Math.round((1000 * frames) / rate);
}

/** @throws CommandError `encoding-not-sound`. */
function soundEncoding(encoding: string): RawEncoding {
  const known = RAW_ENCODING_NAMES.find((name) => name === encoding);
  if (known !== undefined) return known;
  throw new CommandError('encoding-not-sound', `--encoding ${encoding} is of I/Q: say so with --iq`);
}

/** A complex band on its way to the printed page. */
class BandReceiving {
  bursts = 0;
  readonly #listening: BandListening;
  readonly #io: Io;
  #isTold = false;
  #printed = '';

  constructor({ rate, encoding, iq, format }: ListenOptions, missions: readonly Mission[], startedMs: number, io: Io) {
    this.#io = io;
    const startedAt = new Date(startedMs).toISOString();
    const print = livePrinter(format, missions, startedAt);
    const centerHz = typeof iq === 'number' ? iq : null;
    const stream = { rateHz: rate, type: bandType(encoding), centerHz, startedAt, missions };
    this.#listening = new BandListening(stream, (event) => {
      this.bursts++;
      this.#printed += print({ ...event, receptions: [] });
    });
  }

  async take(bytes: Uint8Array): Promise<string> {
    this.#listening.take(bytes);
    const { problem } = this.#listening;
    if (problem !== null && !this.#isTold) complain(this.#io, problem.message);
    this.#isTold ||= problem !== null;
    return this.#flush();
  }

  end(): string {
    this.#listening.end();
    return this.#flush();
  }

  async give(): Promise<number> {
    return 0;
  }

  #flush(): string {
    const printed = this.#printed;
    this.#printed = '';
    return printed;
  }
}

/** One stream on its way to the printed page, and to a server. */
class Receiving {
  bursts = 0;
  readonly #raw: RawSamples;
  readonly #listening: StreamListening;
  readonly #relay: Relay | null;
  #printed = '';

  constructor(options: ListenOptions, missions: readonly Mission[], key: string | null, startedMs: number, io: Io) {
    const { rate, channels, format, to } = options;
    const encoding = soundEncoding(options.encoding);
    const startedAt = new Date(startedMs).toISOString();
    const print = livePrinter(format, missions, startedAt);
    const stream = { sampleRateHz: rate, encoding, channels, missions, startedAt };
    this.#raw = new RawSamples(encoding, channels);
    this.#listening = new StreamListening(stream, (note) => {
      if (note.type === 'cut') return this.#relay?.keep(note.cut);
      if (note.event.type === 'burst') this.bursts++;
      this.#printed += print(note.event);
    });
    this.#relay = to === undefined ? null : new Relay({ ...options, to, key, missions, startedMs }, io);
  }

  /** Returns what is to be printed. */
  async take(bytes: Uint8Array): Promise<string> {
    this.#raw.push(bytes, (samples) => {
      this.#relay?.push(packSamples([samples], samples.length, 'pcm16'));
      this.#listening.takeSamples(samples);
    });
    await this.#relay?.settle();
    return this.#flush();
  }

  end(): string {
    this.#listening.end();
    return this.#flush();
  }

  /** Gives the server what it has not; how many bursts are left. */
  async give(): Promise<number> {
    return (await this.#relay?.end()) ?? 0;
  }

  #flush(): string {
    const printed = this.#printed;
    this.#printed = '';
    return printed;
  }
}
