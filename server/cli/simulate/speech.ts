import { type AudioBlock, PREPARE_BYTES, prepareAudio, RecordingReader } from '../../../decoders/audio/index.ts';
import { AudioError } from '../../../decoders/errors.ts';
import { CommandError } from '../exit.ts';
import { findInput, peek, pieces } from '../inputs.ts';
import type { Io } from '../io.ts';

export interface Speech {
  readonly sampleRateHz: number;
  /** First channel. */
  readonly samples: Float32Array;
}

/** More is cut off: it is played over and over anyway. */
const MAX_SECONDS = 600;

/**
 * The first channel of a recording, whole.
 *
 * @throws CommandError when it is none, or holds no sound.
 */
export async function readSpeech(file: string, io: Io): Promise<Speech> {
  const { first, pieces: all } = await peek(pieces(await findInput(file, io)), PREPARE_BYTES);
  const reader = new RecordingReader({ codecs: await prepareAudio(first) });
  const blocks: Float32Array[] = [];
  let length = 0;
  const keep = ({ channels, frames }: AudioBlock) => {
    if (length >= MAX_SECONDS * (reader.info?.sampleRateHz ?? 0)) return;
    blocks.push(channels[0].slice(0, frames));
    length += frames;
  };
  try {
    for await (const piece of all) reader.push(piece, keep);
    reader.end(keep);
  } catch (error) {
    throw error instanceof AudioError ? new CommandError(error.code, `${file}: ${error.message}`) : error;
  }
  if (reader.info === null || length === 0)
    throw new CommandError('empty-file', `${file}: this recording holds no sound`);
  const samples = new Float32Array(length);
  let at = 0;
  for (const block of blocks) {
    samples.set(block, at);
    at += block.length;
  }
  return { sampleRateHz: reader.info.sampleRateHz, samples };
}
