import { existsSync } from 'node:fs';
import { encodeWav } from '../../decoders/audio/wav-write.ts';
import { FiveunitError } from '../../decoders/errors.ts';
import { createDecimator } from '../../decoders/signal/decimate.ts';
import { bandStretch } from './band-stretch.ts';
import { type CutOutcome, type CutTask, PIECE_SECONDS, SOUND_RATE_HZ, type Stretch } from './cutter.ts';
import { writeListeningCopy } from './listening-copy.ts';
import { openSampleFile, type SampleFile } from './sample-file.ts';

/** Read before and after each stretch, so that the filters' beginning and end lie outside of it. */
const GUARD_SECONDS = 0.032;

/**
 * Cuts a stretch out of a recording: mono, 16 bits, `SOUND_RATE_HZ`, with nothing of what the file says of itself. Takes
 * as long as the stretch, not as the recording; only of containers that cannot be read from the middle a copy is made
 * first, once. What lies beyond the recording's ends is left out, but pieces keep their number.
 */
export async function cutSound(task: CutTask): Promise<CutOutcome> {
  let copied = false;
  let file: SampleFile | null = null;
  try {
    if (task.carrier !== null) {
      const samples = silenced(await bandStretch(task, task.carrier), task);
      return { readable: true, wav: wavOf(samples), copied };
    }
    file = openSampleFile(existsSync(task.copyPath) ? task.copyPath : task.path);
    if (file === null) {
      await writeListeningCopy(task);
      copied = true;
      file = openSampleFile(task.copyPath);
    }
    if (file === null) throw new Error('the listening copy cannot be read');
    const samples = task.pieces === null ? readStretch(file, task) : readPieces(file, task, task.pieces);
    return { readable: true, wav: wavOf(samples), copied };
  } catch (error) {
    if (!(error instanceof FiveunitError)) throw error;
    return { readable: false, failure: { code: error.code, message: error.message } };
  } finally {
    file?.close();
  }
}

function wavOf(samples: Float32Array): Uint8Array {
  return encodeWav(samples, { sampleRateHz: SOUND_RATE_HZ, format: 'pcm16' });
}

function readStretch(file: SampleFile, task: CutTask): Float32Array {
  const { channel, stretch } = task;
  const end = Math.min(stretch.endSeconds, file.frames / file.info.sampleRateHz);
  const samples = new Float32Array(sampleAt(end, stretch));
  resample(file, channel, [stretch], samples);
  return silenced(samples, task);
}

/** Sample of the sound of a stretch at a time of the recording. */
function sampleAt(seconds: number, { startSeconds }: Stretch): number {
  return Math.max(0, Math.round((seconds - startSeconds) * SOUND_RATE_HZ));
}

function silenced(samples: Float32Array, { stretch, silences }: CutTask): Float32Array {
  for (const { startSeconds, endSeconds } of silences) {
    samples.fill(0, sampleAt(startSeconds, stretch), sampleAt(endSeconds, stretch));
  }
  return samples;
}

function readPieces(file: SampleFile, { channel, stretch }: CutTask, count: number): Float32Array {
  const part = (stretch.endSeconds - stretch.startSeconds) / count;
  const stretches = Array.from({ length: count }, (_, i) => {
    const startSeconds = stretch.startSeconds + (i + 0.5) * part - PIECE_SECONDS / 2;
    return { startSeconds, endSeconds: startSeconds + PIECE_SECONDS };
  });
  const samples = new Float32Array(count * Math.round(PIECE_SECONDS * SOUND_RATE_HZ));
  resample(file, channel, stretches, samples);
  return samples;
}

/** Brings stretches to the sound's rate, end to end: all of one length, the last perhaps shorter. */
function resample(file: SampleFile, channel: number, stretches: readonly Stretch[], out: Float32Array): void {
  const { sampleRateHz } = file.info;
  const which = Math.min(channel, file.info.channels - 1);
  const length = Math.ceil(out.length / stretches.length);
  // Every so many frames one stands where a sample of the sound does.
  const step = sampleRateHz / commonDivisor(sampleRateHz, SOUND_RATE_HZ);
  stretches.forEach(({ startSeconds }, i) => {
    const target = out.subarray(i * length, (i + 1) * length);
    const from = Math.max(0, step * Math.floor(((startSeconds - GUARD_SECONDS) * sampleRateHz) / step));
    const to = Math.ceil((startSeconds + length / SOUND_RATE_HZ + GUARD_SECONDS) * sampleRateHz);
    let at = -Math.round((startSeconds - from / sampleRateHz) * SOUND_RATE_HZ);
    const take = (block: Float32Array): void => {
      for (const sample of block) {
        if (at >= 0 && at < target.length) target[at] = sample;
        at++;
      }
    };
    const decimator = createDecimator(sampleRateHz);
    file.read(from, to, ({ channels, frames }) => decimator.push(channels[which].subarray(0, frames), take));
    decimator.end(take);
  });
}

function commonDivisor(a: number, b: number): number {
  return b === 0 ? a : commonDivisor(b, a % b);
}
