import { closeSync, openSync } from 'node:fs';
import { RecordingReader } from '../../decoders/audio/open.ts';
import { PREPARE_BYTES, prepareAudio } from '../../decoders/audio/prepare.ts';
import type { AudioBlock } from '../../decoders/audio/types.ts';
import { AudioError } from '../../decoders/errors.ts';
import { BurstListener } from '../../decoders/iq/burst-sound.ts';
import { createDecimator } from '../../decoders/signal/decimate.ts';
import type { BurstCarrier } from '../../decoders/signal/types.ts';
import { decodableBytes } from '../audio/decodable-bytes.ts';
import { filePieces, firstBytes } from '../audio/file-pieces.ts';
import { recordingFiles } from '../sigmf-files.ts';
import { type CutTask, SOUND_RATE_HZ } from './cutter.ts';
import { openSampleFile } from './sample-file.ts';

/** Read before and after the stretch, so that the filters' beginning and end lie outside of it. */
const GUARD_SECONDS = 0.1;

/**
 * A burst in a complex band with what is around it, demodulated: mono, at `SOUND_RATE_HZ`. Of packed containers all that
 * stands before it is decoded, too.
 *
 * @throws AudioError when the recording cannot be read.
 */
export async function bandStretch({ path, stretch }: CutTask, carrier: BurstCarrier): Promise<Float32Array> {
  let listener: BurstListener | null = null;
  let startSeconds = 0;
  const begin = (rateHz: number): readonly [from: number, to: number] => {
    const from = Math.max(0, Math.round((stretch.startSeconds - GUARD_SECONDS) * rateHz));
    startSeconds = from / rateHz;
    listener = new BurstListener(rateHz, carrier, from);
    return [from, Math.ceil((stretch.endSeconds + GUARD_SECONDS) * rateHz)];
  };
  await readBand(path, begin, (re, im) => listener?.push(re, im));
  if (listener === null) throw new AudioError('no-samples', 'the recording holds no samples');
  const { samples, rateHz } = (listener as BurstListener).end();
  const decimator = createDecimator(rateHz);
  const out = new Float32Array(Math.ceil((stretch.endSeconds - stretch.startSeconds) * SOUND_RATE_HZ));
  let at = -Math.round((stretch.startSeconds - startSeconds) * SOUND_RATE_HZ);
  const take = (block: Float32Array): void => {
    for (const sample of block) {
      if (at >= 0 && at < out.length) out[at] = sample;
      at++;
    }
  };
  decimator.push(samples, take);
  decimator.end(take);
  return out.subarray(0, Math.max(0, at));
}

/** Hands out I and Q of the frames that `begin` asks for when the rate is known. */
async function readBand(
  path: string,
  begin: (rateHz: number) => readonly [from: number, to: number],
  onBand: (re: Float32Array, im: Float32Array) => void,
): Promise<void> {
  const file = openSampleFile(path);
  if (file === null) return readPacked(path, begin, onBand);
  try {
    const [from, to] = begin(file.info.sampleRateHz);
    file.read(from, to, ({ channels: [re, im], frames }) => onBand(re.subarray(0, frames), im.subarray(0, frames)));
  } finally {
    file.close();
  }
}

async function readPacked(...[path, begin, onBand]: Parameters<typeof readBand>): Promise<void> {
  const file = openSync(path, 'r');
  try {
    const first = firstBytes(file, PREPARE_BYTES);
    const { sigmfMeta } = recordingFiles(path);
    const reader = new RecordingReader({ codecs: await prepareAudio(first), sigmfMeta });
    let wanted: readonly [from: number, to: number] | null = null;
    let done = 0;
    const take = ({ channels: [re, im], frames }: AudioBlock): void => {
      if (reader.info === null) return;
      wanted ??= begin(reader.info.sampleRateHz);
      const [from, to] = wanted.map((frame) => Math.min(frames, Math.max(0, frame - done)));
      if (from < to) onBand(re.subarray(from, to), im.subarray(from, to));
      done += frames;
    };
    for await (const piece of decodableBytes({ first, pieces: filePieces(file), path })) {
      reader.push(piece, take);
      if (wanted !== null && done >= wanted[1]) return;
    }
    reader.end(take);
  } finally {
    closeSync(file);
  }
}
