import { createHash } from 'node:crypto';
import { basename } from 'node:path';
import { Command } from 'commander';
import { PREPARE_BYTES, prepareAudio } from '../../decoders/audio/prepare.ts';
import { leavesGaps, sureSeconds, type TimeBase } from '../../decoders/audio/time-gaps.ts';
import type { AudioProblem } from '../../decoders/audio/types.ts';
import type { DecodeEvent } from '../../decoders/decode.ts';
import { FiveunitError } from '../../decoders/errors.ts';
import { withReadingsAt } from '../../decoders/frame-readings.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import { createRecordingDecoder } from '../../decoders/recording.ts';
import { decodableBytes } from '../audio/decodable-bytes.ts';
import { recordingFiles, withoutTwins } from '../sigmf-files.ts';
import { type BandOptions, bandOptions, withBandOptions } from './band-options.ts';
import { CommandError, type ExitCode, exitCode, worse } from './exit.ts';
import { findInput, peek, pieces } from './inputs.ts';
import { complain, type Io } from './io.ts';
import { loadMissions, missionOption } from './missions.ts';
import { type FormatName, formatNamed, formatOption } from './output/format.ts';
import { withSink } from './output/sink.ts';
import { startProgress } from './progress.ts';
import {
  findStart,
  infoInFirst,
  offsetOption,
  receivedAt,
  type StartOptions,
  timeBaseOption,
  zoneOption,
} from './recording-start.ts';
import { burstRecord, frameRecord, type OutputRecord, presenceRecord, recordingRecord } from './records.ts';
import { parseTime } from './time.ts';

interface DecodeOptions extends BandOptions, StartOptions {
  readonly mission: readonly string[];
  readonly timeBase?: TimeBase;
  readonly format: FormatName;
  readonly out?: string;
}

export function decodeCommand(io: Io, report: (code: ExitCode) => void): Command {
  const command = new Command('decode')
    .summary('reads recordings')
    .description(
      'Finds the teletype bursts in recordings and prints their text. With the definition of a mission it also prints ' +
        'the frames and readings in them. "-" is standard input.',
    )
    .argument('<file...>', 'recordings, by content whatever their names; of a SigMF pair either file')
    .addOption(missionOption())
    .option('--start <time>', 'when each recording began, in ISO 8601 with its zone: 2027-03-01T18:40:00Z', parseTime)
    .addOption(zoneOption())
    .addOption(offsetOption())
    .addOption(timeBaseOption());
  return withBandOptions(command)
    .addOption(formatOption())
    .option('--out <file>', 'write the results to a file instead of standard output')
    .action(async (files: string[], options: DecodeOptions) => report(await decode(io, files, options)));
}

async function decode(io: Io, files: readonly string[], options: DecodeOptions): Promise<ExitCode> {
  const missions = await loadMissions(options.mission, io);
  const format = formatNamed(options.format, missions);
  return withSink(io, options.out, async (sink) => {
    await sink.write(format.head);
    let code: ExitCode = exitCode.done;
    let found = 0;
    for (const file of withoutTwins(files)) {
      try {
        const records = await decodeFile(io, file, missions, options);
        for (const record of records) await sink.write(format.print(record));
        const looked = missions.length > 0 ? 'frame' : 'burst';
        const here = records.filter(({ type }) => type === looked).length;
        found += here;
        if (here === 0) complain(io, nothingFound(file, records, missions));
      } catch (error) {
        if (!(error instanceof FiveunitError)) throw error;
        if (error instanceof CommandError && error.code === 'unwritable-output') throw error;
        complain(io, error.message);
        code = worse(code, exitCode.refused);
      }
    }
    return found === 0 ? worse(code, exitCode.incomplete) : code;
  });
}

function nothingFound(file: string, records: readonly OutputRecord[], missions: readonly Mission[]): string {
  const bursts = records.filter(({ type }) => type === 'burst').length;
  if (bursts === 0) return `${file}: no burst found`;
  const names = missions.map(({ id }) => id).join(' or ');
  return `${file}: no frame of ${names} found in ${bursts === 1 ? 'the one burst' : `${bursts} bursts`}`;
}

/**
 * Everything that one recording holds. The record of the recording comes first and needs the whole of it, so the records
 * of its bursts wait: a few kilobytes a burst, whatever the length.
 */
async function decodeFile(
  io: Io,
  file: string,
  missions: readonly Mission[],
  options: DecodeOptions,
): Promise<OutputRecord[]> {
  const { samples, sigmfMeta } = recordingFiles(file);
  const input = await findInput(samples, io);
  const hash = createHash('sha256');
  const events: Extract<DecodeEvent, { type: 'burst' }>[] = [];
  const onEvent = (event: DecodeEvent) => {
    if (event.type === 'burst') events.push(event);
  };
  const progress = await startProgress(io, file, input.bytes);
  async function* counted(all: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
    let bytes = 0;
    for await (const piece of all) {
      hash.update(piece);
      bytes += piece.byteLength;
      progress.update(bytes);
      yield piece;
    }
  }

  try {
    const { first, pieces: all } = await peek(pieces(input), PREPARE_BYTES);
    const codecs = await prepareAudio(first);
    const fileName = file === '-' ? null : basename(file);
    const early = findStart(options, { info: infoInFirst(first), fileName, seconds: 0 }, Date.now()).start;
    const decoder = createRecordingDecoder({
      missions,
      codecs,
      ...bandOptions(options),
      ...(early === null ? {} : { startedAt: early.iso }),
      ...(sigmfMeta === null ? {} : { sigmfMeta }),
    });
    const path = input.bytes === null ? null : samples;
    const problems: AudioProblem[] = [];
    const onProblem = (problem: AudioProblem) => problems.push(problem);
    for await (const piece of decodableBytes({ first, pieces: counted(all), path }, { onProblem })) {
      decoder.push(piece, onEvent);
    }
    const read = decoder.end(onEvent);
    const now = Date.now();
    const { info, seconds } = read;
    const { start, problems: ofStart } = findStart(options, { info, fileName, seconds }, now);
    for (const { message } of ofStart) complain(io, `${file}: ${message}`);
    const summary = { ...read, problems: [...read.problems, ...problems, ...ofStart] };
    const timeBase = options.timeBase ?? (leavesGaps(summary.problems) ? 'gaps' : null);
    const times = { sureSeconds: sureSeconds(timeBase, summary.problems), existedAt: now };
    // What stands behind the samples may date them otherwise than what stands before.
    const isRedated = start?.iso !== early?.iso;
    return [
      recordingRecord(file, hash.digest('hex'), start, timeBase, summary),
      ...events.flatMap(({ burst, frames }) => [
        burstRecord(burst),
        ...frames.map((found) => {
          const received = receivedAt(start, found.frame.startSeconds, times);
          const frame = isRedated ? withReadingsAt(found, missions, received?.at ?? null) : found;
          return frameRecord(frame, frame.frame, received);
        }),
      ]),
      ...summary.presence.map(presenceRecord),
    ];
  } catch (error) {
    if (!(error instanceof FiveunitError) || error instanceof CommandError) throw error;
    throw new CommandError(error.code, `${file}: ${error.message}`);
  } finally {
    progress.stop();
  }
}
