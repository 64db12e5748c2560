import { createHash } from 'node:crypto';
import { basename } from 'node:path';
import { PREPARE_BYTES, prepareAudio } from '../../../decoders/audio/prepare.ts';
import { leavesGaps, sureSeconds, type TimeBase } from '../../../decoders/audio/time-gaps.ts';
import type { AudioProblem } from '../../../decoders/audio/types.ts';
import type { DecodeEvent, FrameWithReadings } from '../../../decoders/decode.ts';
import { FiveunitError } from '../../../decoders/errors.ts';
import { withReadingsAt } from '../../../decoders/frame-readings.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { createRecordingDecoder } from '../../../decoders/recording.ts';
import { decodableBytes } from '../../audio/decodable-bytes.ts';
import { recordingFiles } from '../../sigmf-files.ts';
import { type BandOptions, bandOptions } from '../band-options.ts';
import { CommandError } from '../exit.ts';
import { type Input, peek, pieces } from '../inputs.ts';
import { keepHeapLean } from '../lean-heap.ts';
import { findStart, infoInFirst, receivedAt, type StartOptions } from '../recording-start.ts';
import {
  type BurstRecord,
  burstRecord,
  frameRecord,
  type OutputRecord,
  presenceRecord,
  recordingRecord,
} from '../records.ts';

/** How recordings are to be read. */
export interface FileOptions extends BandOptions, StartOptions {
  readonly timeBase?: TimeBase;
}

/** Plain data: it may be sent to a thread. */
export interface FileTask {
  /** As the user named it; `-` for standard input. */
  readonly file: string;
  readonly missions: readonly Mission[];
  readonly options: FileOptions;
}

/** How far it is read. */
export interface FileProgress {
  readonly bytes: number;
  /** Null when it cannot be known beforehand. */
  readonly total: number | null;
}

/** What a file came to. One that cannot be read is a result, not an exception. Plain data. */
export type FileOutcome =
  | { readonly readable: true; readonly records: readonly OutputRecord[]; readonly remarks: readonly string[] }
  | { readonly readable: false; readonly message: string };

/**
 * Everything that one recording holds. The record of the recording comes first and needs the whole of it, so the records
 * of its bursts wait: a few kilobytes a burst, whatever the length.
 *
 * @param find finds the input of that name.
 */
export async function decodeFile(
  task: FileTask,
  find: (name: string) => Promise<Input>,
  onProgress: (progress: FileProgress) => void,
): Promise<FileOutcome> {
  try {
    const { samples, sigmfMeta } = recordingFiles(task.file);
    return await decodeInput(task, await find(samples), sigmfMeta, onProgress);
  } catch (error) {
    if (!(error instanceof FiveunitError)) throw error;
    return { readable: false, message: error.message };
  }
}

async function decodeInput(
  { file, missions, options }: FileTask,
  input: Input,
  sigmfMeta: string | null,
  onProgress: (progress: FileProgress) => void,
): Promise<FileOutcome> {
  keepHeapLean();
  const hash = createHash('sha256');
  const heard: { readonly burst: BurstRecord; readonly frames: readonly FrameWithReadings[] }[] = [];
  const onEvent = (event: DecodeEvent) => {
    if (event.type === 'burst') heard.push({ burst: burstRecord(event.burst), frames: event.frames });
  };
  async function* counted(all: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
    let bytes = 0;
    for await (const piece of all) {
      hash.update(piece);
      bytes += piece.byteLength;
      onProgress({ bytes, total: input.bytes });
      yield piece;
    }
  }

  onProgress({ bytes: 0, total: input.bytes });
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
    const path = input.bytes === null ? null : input.name;
    const problems: AudioProblem[] = [];
    const onProblem = (problem: AudioProblem) => problems.push(problem);
    for await (const piece of decodableBytes({ first, pieces: counted(all), path }, { onProblem })) {
      decoder.push(piece, onEvent);
    }
    const read = decoder.end(onEvent);
    const now = Date.now();
    const { info, seconds } = read;
    const { start, problems: ofStart } = findStart(options, { info, fileName, seconds }, now);
    const summary = { ...read, problems: [...read.problems, ...problems, ...ofStart] };
    const timeBase = options.timeBase ?? (leavesGaps(summary.problems) ? 'gaps' : null);
    const times = { sureSeconds: sureSeconds(timeBase, summary.problems), existedAt: now };
    // What stands behind the samples may date them otherwise than what stands before.
    const isRedated = start?.iso !== early?.iso;
    const records = [
      recordingRecord(file, hash.digest('hex'), start, timeBase, summary),
      ...heard.flatMap(({ burst, frames }) => [
        burst,
        ...frames.map((found) => {
          const received = receivedAt(start, found.frame.startSeconds, times);
          const frame = isRedated ? withReadingsAt(found, missions, received?.at ?? null) : found;
          return frameRecord(frame, frame.frame, received);
        }),
      ]),
      ...summary.presence.map(presenceRecord),
    ];
    return { readable: true, records, remarks: ofStart.map(({ message }) => `${file}: ${message}`) };
  } catch (error) {
    if (!(error instanceof FiveunitError) || error instanceof CommandError) throw error;
    throw new CommandError(error.code, `${file}: ${error.message}`);
  }
}
