import { closeSync, fstatSync, openSync } from 'node:fs';
import { PREPARE_BYTES, prepareAudio } from '../../decoders/audio/prepare.ts';
import type { AudioProblem } from '../../decoders/audio/types.ts';
import type { DecodeEvent, DecodeOptions, RecordingDecoder } from '../../decoders/decode.ts';
import { FiveunitError } from '../../decoders/errors.ts';
import { decodableBytes } from '../audio/decodable-bytes.ts';
import { filePieces, firstBytes } from '../audio/file-pieces.ts';
import { recordingFiles } from '../sigmf-files.ts';
import type { DecodeOutcome, DecodeProgress, DecodeTask, FoundBurst } from './decode-runner.ts';

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
    const first = firstBytes(file, PREPARE_BYTES);
    const decoder = createDecoder({
      missions: task.missions,
      practice: true,
      codecs: await prepareAudio(first),
      ...(task.startedAt === null ? {} : { startedAt: task.startedAt }),
      ...(sigmfMeta === null ? {} : { sigmfMeta }),
      ...(task.iq === null ? {} : { iq: task.iq }),
    });
    const problems: AudioProblem[] = [];
    const onProblem = (problem: AudioProblem) => problems.push(problem);
    let position = 0;
    let saidAt = Date.now();
    const pieces = filePieces(file, (read) => {
      position = read;
    });
    for await (const bytes of decodableBytes({ first, pieces, path: task.path }, { onProblem })) {
      decoder.push(bytes, onEvent);
      if (Date.now() - saidAt >= PROGRESS_MILLISECONDS) {
        saidAt = Date.now();
        onProgress({ fraction: Math.min(1, position / size), seconds, bursts: bursts.length, frames, lastFrame });
      }
    }
    const summary = decoder.end(onEvent);
    return { readable: true, summary: { ...summary, problems: [...summary.problems, ...problems] }, bursts };
  } catch (error) {
    if (!(error instanceof FiveunitError)) throw error;
    return { readable: false, failure: { code: error.code, message: error.message } };
  } finally {
    closeSync(file);
  }
}
