import { Command, Option } from 'commander';
import { renderFrame } from '../../decoders/frames/render.ts';
import type { FrameLayout, Mission } from '../../decoders/mission/types.ts';
import {
  type FieldValues,
  type KeyingChanges,
  keyingOf,
  Random,
  randomValues,
  type SimulatedBand,
  simulateBand,
  simulateRecording,
} from '../../decoders/simulate/index.ts';
import { CommandError, type ExitCode, exitCode } from './exit.ts';
import { readText } from './inputs.ts';
import type { Io } from './io.ts';
import { loadMission } from './missions.ts';
import { parseCount, parseNumber, parsePositive } from './numbers.ts';
import { withSink } from './output/sink.ts';
import { addBandOptions, type BandFiles, type BandOptions, bandFiles, bandOf } from './simulate/band.ts';
import { addFaultOptions, type FaultOptions, faultsOf } from './simulate/faults.ts';
import { readSpeech } from './simulate/speech.ts';
import { parseValues } from './simulate/values.ts';
import { parseTime } from './time.ts';

interface SimulateOptions extends KeyingChanges, FaultOptions, BandOptions {
  readonly mission?: string;
  readonly text: readonly string[];
  readonly out: string;
  readonly values?: string;
  readonly random?: number;
  readonly count?: number;
  readonly frame: readonly string[];
  readonly interval?: number;
  readonly margin: number;
  readonly rate?: number;
  readonly seed: number;
  readonly start?: string;
}

export function simulateCommand(io: Io, report: (code: ExitCode) => void): Command {
  const command = new Command('simulate')
    .summary('makes a recording of a mission')
    .description(
      'Writes a WAV recording of what the satellite of a mission would send: the examples of its definition, or given ' +
        'or random values. The recording says inside that it is simulated. Prints the texts that it sends.',
    )
    .option('--mission <file>', 'mission definition')
    .requiredOption('--out <file>', 'recording to write; "-" is standard output, x.sigmf-data a SigMF pair')
    .option('--text <text>', 'send this text, also without a mission (may be repeated)', collect, [])
    .option('--values <file>', 'JSON list of { "frame": ID, "values": { FIELD: VALUE } } to send')
    .addOption(
      new Option('--random <seed>', 'send random values, a frame of each kind')
        .argParser(parseNumber)
        .conflicts('values'),
    )
    .option('--count <number>', 'how many transmissions with --random, one kind after the other', parseCount)
    .option('--frame <id>', 'send only this kind of frame with --random (may be repeated)', collect, [])
    .option(
      '--interval <seconds>',
      'from the start of one transmission to the next (default: as the mission says, else 60)',
      parsePositive,
    )
    .option('--margin <seconds>', 'before the first transmission and after the last', parsePositive, 2)
    .option('--rate <hz>', 'sample rate (default: 8000, of a band 48000)', parseCount)
    .option('--mark <hz>', 'mark tone, instead of what the definition says', parsePositive)
    .option('--space <hz>', 'space tone, instead of what the definition says', parsePositive)
    .option('--baud <baud>', 'speed, instead of what the definition says', parsePositive)
    .option('--stop <elements>', 'length of the stop element, instead of what the definition says', parsePositive);
  return addBandOptions(addFaultOptions(command))
    .option('--seed <number>', 'seed of the noise and the fading', parseNumber, 1)
    .option('--start <time>', 'when the recording began: 2027-03-01T18:40:00Z', parseTime)
    .action(async (options: SimulateOptions) => report(await simulate(io, options)));
}

async function simulate(io: Io, options: SimulateOptions): Promise<ExitCode> {
  const mission = options.mission === undefined ? null : await loadMission(options.mission, io);
  const texts = await textsToSend(mission, options, io);
  const common = {
    texts,
    keying: keyingOf(mission?.beacon ?? null, options),
    intervalSeconds: options.interval ?? mission?.beacon.intervalSeconds ?? 60,
    marginSeconds: options.margin,
    seed: options.seed,
    ...(options.start === undefined ? {} : { startedAt: options.start }),
  };
  const files = bandFiles(options.out, options);
  const band = bandOf(options, {
    baud: common.keying.baud,
    downlinkHz: mission?.beacon.downlinkHz,
    middleSeconds: common.marginSeconds + ((texts.length - 1) * common.intervalSeconds) / 2,
  });
  if (band !== null) await writeBand(io, files, simulateBand({ ...common, ...band, ...rateOf(options) }));
  else if (files.meta !== null)
    throw new CommandError('missing-option', 'SigMF is written of a band; give --iq as well');
  else {
    const speech = options.speech === undefined ? null : await readSpeech(options.speech, io);
    const { rate: sampleRateHz = 8000 } = options;
    const recording = simulateRecording({ ...common, sampleRateHz, faults: faultsOf(options, speech) });
    await writePieces(io, files.samples, recording.wav());
  }
  if (options.out !== '-') {
    await withSink(io, undefined, (sink) => sink.write(texts.map((text) => `${text}\n`).join('')));
  }
  return exitCode.done;
}

function rateOf({ rate }: SimulateOptions): { sampleRateHz?: number } {
  return rate === undefined ? {} : { sampleRateHz: rate };
}

async function writeBand(io: Io, { samples, meta, format }: BandFiles, band: SimulatedBand): Promise<void> {
  await writePieces(io, samples, meta === null ? band.wav(format) : band.samples(format));
  if (meta !== null) await withSink(io, meta, (sink) => sink.write(band.sigmfMeta(format)));
}

async function writePieces(io: Io, path: string, pieces: Iterable<Uint8Array>): Promise<void> {
  await withSink(io, path, async (sink) => {
    for (const piece of pieces) await sink.write(piece);
  });
}

async function textsToSend(mission: Mission | null, options: SimulateOptions, io: Io): Promise<readonly string[]> {
  if (options.text.length > 0) return options.text;
  if (mission === null)
    throw new CommandError('nothing-to-send', 'give --mission FILE, or --text to send a text of your own');
  if (options.values !== undefined) {
    const given = parseValues(options.values, await readText(options.values, io));
    return given.map(({ frame, values }) => sentText(mission, frameNamed(mission, frame), values));
  }
  if (options.random !== undefined) {
    const random = new Random(options.random).branch('values');
    const frames = options.frame.length === 0 ? mission.frames : options.frame.map((id) => frameNamed(mission, id));
    return Array.from({ length: options.count ?? frames.length }, (_, i) => {
      const frame = frames[i % frames.length];
      return sentText(mission, frame, randomValues(frame.layout, random));
    });
  }
  if (mission.examples.length === 0) {
    throw new CommandError('nothing-to-send', `${mission.id} has no examples to send; give --values or --random`);
  }
  return mission.examples.map(({ text }) => text);
}

/** A frame as it goes out: as often in a row as its layout says. */
function sentText(mission: Mission, { id, repeats }: FrameLayout, values: FieldValues): string {
  return Array(repeats)
    .fill(renderFrame(mission, id, values))
    .join(' ');
}

function frameNamed(mission: Mission, id: string): FrameLayout {
  const frame = mission.frames.find((each) => each.id === id);
  if (frame === undefined) {
    const known = mission.frames.map((each) => each.id).join(', ');
    throw new CommandError('unknown-frame', `${mission.id} has no frame "${id}"; it has ${known}`);
  }
  return frame;
}

function collect(value: string, before: readonly string[]): string[] {
  return [...before, value];
}
