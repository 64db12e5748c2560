import { closeSync, openSync, renameSync, rmSync, writeSync } from 'node:fs';
import { RecordingReader } from '../../decoders/audio/open.ts';
import { PREPARE_BYTES, prepareAudio } from '../../decoders/audio/prepare.ts';
import type { AudioBlock } from '../../decoders/audio/types.ts';
import { packSamples, wavHeader } from '../../decoders/audio/wav-write.ts';
import { AudioError, FiveunitError } from '../../decoders/errors.ts';
import { createDecimator, type Decimator } from '../../decoders/signal/decimate.ts';
import { decodableBytes } from '../audio/decodable-bytes.ts';
import { filePieces, firstBytes } from '../audio/file-pieces.ts';
import { type CutTask, SOUND_RATE_HZ } from './cutter.ts';

const SAMPLE_BYTES = 2;

/** So many bytes a second of recording does its listening copy take. */
export const COPY_BYTES_PER_SECOND = SOUND_RATE_HZ * SAMPLE_BYTES;

const header = (frames: number): Uint8Array =>
  wavHeader({ sampleRateHz: SOUND_RATE_HZ, format: 'pcm16', channels: 1, frames });

/**
 * Decodes a whole recording into a WAV file that can be read from the middle, block by block.
 *
 * @throws AudioError when the recording cannot be read; FiveunitError `no-room` when the copy would take too much.
 */
export async function writeListeningCopy({ path, copyPath, copyBytesMax, channel }: CutTask): Promise<void> {
  const partPath = `${copyPath}.part`;
  const from = openSync(path, 'r');
  const to = openSync(partPath, 'w', 0o600);
  try {
    writeSync(to, header(0));
    const frames = await copySamples(path, from, to, channel, copyBytesMax / SAMPLE_BYTES);
    writeSync(to, header(frames), 0, undefined, 0);
  } catch (error) {
    closeSync(to);
    rmSync(partPath, { force: true });
    throw error;
  } finally {
    closeSync(from);
  }
  closeSync(to);
  renameSync(partPath, copyPath);
}

async function copySamples(
  path: string,
  from: number,
  to: number,
  channel: number,
  framesMax: number,
): Promise<number> {
  const first = firstBytes(from, PREPARE_BYTES);
  const reader = new RecordingReader({ codecs: await prepareAudio(first) });
  let decimator: Decimator | null = null;
  let frames = 0;
  const write = (samples: Float32Array): void => {
    frames += samples.length;
    if (frames > framesMax) throw new FiveunitError('no-room', 'the disk has no room for a copy to listen to');
    writeSync(to, packSamples([samples], samples.length, 'pcm16'));
  };
  const take = ({ frames: count, channels }: AudioBlock): void => {
    if (reader.info === null) return;
    decimator ??= createDecimator(reader.info.sampleRateHz);
    decimator.push(channels[Math.min(channel, channels.length - 1)].subarray(0, count), write);
  };
  for await (const piece of decodableBytes({ first, pieces: filePieces(from), path })) reader.push(piece, take);
  reader.end(take);
  if (decimator === null) throw new AudioError('no-samples', 'the recording holds no samples');
  (decimator as Decimator).end(write);
  return frames;
}
