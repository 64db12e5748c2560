import { createHash } from 'node:crypto';
import { chooseStart, statedStarts } from '../../../decoders/audio/choose-start.ts';
import { RecordingReader } from '../../../decoders/audio/open.ts';
import { PREPARE_BYTES, prepareAudio } from '../../../decoders/audio/prepare.ts';
import type { RecordingStart } from '../../../decoders/audio/start-time.ts';
import type { AudioProblem } from '../../../decoders/audio/types.ts';
import { FiveunitError } from '../../../decoders/errors.ts';
import { recordingFiles } from '../../sigmf-files.ts';
import { CommandError } from '../exit.ts';
import { peek, pieces } from '../inputs.ts';
import type { Io } from '../io.ts';
import { sentFile } from './sent-file.ts';

/** What is known of a file before it is sent. */
export interface Surveyed {
  readonly path: string;
  readonly name: string;
  readonly sha256: string;
  readonly bytes: number;
  /** Null when it can only be read elsewhere. */
  readonly seconds: number | null;
  readonly start: RecordingStart | null;
  /** What is to be said of its time. */
  readonly problems: readonly AudioProblem[];
}

/** Not worth the way: no server reads it. */
const NO_RECORDINGS: readonly string[] = ['empty-file', 'not-a-recording'];

/**
 * Reads a file once as it will be sent, for its SHA-256 and for what it says of its start.
 *
 * @throws FiveunitError `sigmf-no-twin`; CommandError for what cannot be read or is no recording.
 */
export async function survey(path: string, io: Io, now: number): Promise<Surveyed> {
  const input = await sentFile(path, io);
  const { name } = input;
  const hash = createHash('sha256');
  const { first, pieces: all } = await peek(pieces(input), PREPARE_BYTES);
  const { sigmfMeta } = recordingFiles(path);
  const reader = new RecordingReader({
    codecs: await prepareAudio(first),
    ...(sigmfMeta === null ? {} : { sigmfMeta }),
  });
  let bytes = 0;
  let frames = 0;
  let readable = true;
  const attempt = (read: () => void): void => {
    if (!readable) return;
    try {
      read();
    } catch (error) {
      if (!(error instanceof FiveunitError)) throw error;
      if (NO_RECORDINGS.includes(error.code)) throw new CommandError(error.code, `${path}: ${error.message}`);
      readable = false;
    }
  };
  const count = (block: { readonly frames: number }): void => {
    frames += block.frames;
  };
  for await (const piece of all) {
    hash.update(piece);
    bytes += piece.byteLength;
    attempt(() => reader.push(piece, count));
  }
  attempt(() => reader.end(count));
  const { info } = reader;
  const seconds = readable && info !== null ? frames / info.sampleRateHz : null;
  const { start, problems } = chooseStart(statedStarts(null, info, name), {
    seconds: seconds ?? 0,
    existedAt: new Date(now).toISOString(),
    notBefore: null,
  });
  return { path, name, sha256: hash.digest('hex'), bytes, seconds, start, problems };
}
