import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { PREPARE_BYTES, prepareAudio } from '../../decoders/audio/prepare.ts';
import type { DecodeEvent, DecodeOptions, RecordingDecoder } from '../../decoders/decode.ts';
import { FiveunitError } from '../../decoders/errors.ts';
import { recordingFiles } from '../sigmf-files.ts';
import type { DecodeOutcome, DecodeProgress, DecodeTask, FoundBurst } from './decode-runner.ts';

const PIECE_BYTES = 256 * 1024;
const PROGRESS_MILLISECONDS = 250;

/**
 * Decodes a file piece by piece, so that memory does not grow with its length.
 *
 * @param createDecoder makes the decoder that is fed.
 * @param onProgress is called at most four times a second.
 */
export async function decodeFile(
  task: DecodeTask,
  createDecoder: (options: DecodeOptions) => RecordingDecoder,
  onProgress: (progress: DecodeProgress) => void,
): Promise<DecodeOutcome> {
  const { sigmfMeta } = recordingFiles(task.path);
  const bursts: FoundBurst[] = [];
  let seconds = 0;
  let frames = 0;
  let lastFrame: DecodeProgress['lastFrame'] = null;
  const onEvent = (event: DecodeEvent) => {
    if (event.type === 'progress') {
      seconds = event.seconds;
      return;
    }
    bursts.push({ burst: event.burst, frames: event.frames });
    frames += event.frames.length;
    const last = event.frames.at(-1);
    if (last !== undefined) lastFrame = { mission: last.mission, text: last.frame.text };
  };

  const file = openSync(task.path, 'r');
  try {
    const size = fstatSync(file).size;
    const piece = new Uint8Array(PIECE_BYTES);
    const decoder = createDecoder({
      missions: task.missions,
      codecs: await prepareAudio(piece.subarray(0, readSync(file, piece, 0, PREPARE_BYTES, 0))),
      ...(task.startedAt === null ? {} : { startedAt: task.startedAt }),
      ...(sigmfMeta === null ? {} : { sigmfMeta }),
    });
    let position = 0;
    let saidAt = Date.now();
    for (;;) {
      const read = readSync(file, piece, 0, piece.length, position);
      if (read === 0) break;
      decoder.push(piece.subarray(0, read), onEvent);
      position += read;
      if (Date.now() - saidAt >= PROGRESS_MILLISECONDS) {
        saidAt = Date.now();
        onProgress({ fraction: Math.min(1, position / size), seconds, bursts: bursts.length, frames, lastFrame });
      }
    }
    return { readable: true, summary: decoder.end(onEvent), bursts };
  } catch (error) {
    if (!(error instanceof FiveunitError)) throw error;
    return { readable: false, failure: { code: error.code, message: error.message } };
  } finally {
    closeSync(file);
  }
}
