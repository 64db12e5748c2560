import { WavReader } from '../../decoders/audio/wav.ts';
import type { RecordingBurst } from '../../server/http/messages.ts';
import { getBurstSound, getStretch } from '../api/endpoints.ts';
import { Recent } from '../spectrogram/recent.ts';
import { PIECE_SAMPLES, SOUND_RATE_HZ } from './rate.ts';

/** Sound that can be looked at and listened to: mono, 8000 samples a second, times from the start of the recording. */
export interface SoundSource {
  readonly startSeconds: number;
  readonly endSeconds: number;
  /** The samples from..to; silence where there is no sound. Rejects with an `ApiProblem`. */
  read(fromSeconds: number, toSeconds: number): Promise<Float32Array>;
  /** Pieces of 512 samples from the middles of so many equal parts of from..to, end to end. */
  sample(fromSeconds: number, toSeconds: number, pieces: number): Promise<Float32Array>;
}

const at = (seconds: number): number => Math.round(seconds * SOUND_RATE_HZ);

/** The stretch of a burst, fetched whole when it is first wanted. */
export function burstSound(
  recording: string,
  index: number,
  audible: NonNullable<RecordingBurst['audible']>,
): SoundSource {
  let fetched: Promise<Float32Array> | null = null;
  const all = (): Promise<Float32Array> => {
    fetched ??= getBurstSound(recording, index).then(samplesOf);
    // what failed may be tried again
    fetched.catch(() => {
      fetched = null;
    });
    return fetched;
  };
  const { startSeconds, endSeconds } = audible;
  const read = async (fromSeconds: number, toSeconds: number): Promise<Float32Array> =>
    cutFrom(await all(), at(fromSeconds) - at(startSeconds), at(toSeconds) - at(fromSeconds));
  return {
    startSeconds,
    endSeconds,
    read,
    sample: (fromSeconds, toSeconds, pieces) => piecesOf(read, fromSeconds, toSeconds, pieces),
  };
}

/** Blocks in which a whole recording is fetched, and how many of them are kept: eight minutes, 16 MB. */
const BLOCK_SECONDS = 16;
const BLOCKS_KEPT = 30;

/** A whole recording, of any length, fetched block by block as it is wanted: for those who may hear it. */
export function recordingSound(recording: string, endSeconds: number): SoundSource {
  const blocks = new Recent<Promise<Float32Array>>(BLOCKS_KEPT);
  const block = (index: number): Promise<Float32Array> => {
    const key = String(index);
    const known = blocks.get(key);
    if (known !== undefined) return known;
    const from = index * BLOCK_SECONDS;
    const fetched = getStretch(recording, { from, to: from + BLOCK_SECONDS }).then(samplesOf);
    fetched.catch(() => blocks.delete(key));
    blocks.set(key, fetched);
    return fetched;
  };
  return {
    startSeconds: 0,
    endSeconds,
    async read(fromSeconds, toSeconds) {
      const out = new Float32Array(at(toSeconds) - at(fromSeconds));
      const first = Math.max(0, Math.floor(fromSeconds / BLOCK_SECONDS));
      const last = Math.ceil(Math.min(toSeconds, endSeconds) / BLOCK_SECONDS) - 1;
      const wanted = Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => first + i);
      const found = await Promise.all(wanted.map(block));
      for (const [i, samples] of found.entries()) {
        const begin = at((first + i) * BLOCK_SECONDS) - at(fromSeconds);
        out.set(
          cutFrom(samples, Math.max(0, -begin), Math.min(samples.length, out.length - begin) - Math.max(0, -begin)),
          Math.max(0, begin),
        );
      }
      return out;
    },
    sample: async (from, to, pieces) => samplesOf(await getStretch(recording, { from, to, pieces })),
  };
}

/** So many samples from a place on; silence where there are none. */
function cutFrom(samples: Float32Array, from: number, count: number): Float32Array {
  const out = new Float32Array(Math.max(0, count));
  const begin = Math.max(0, from);
  if (begin < from + count) out.set(samples.subarray(begin, Math.max(begin, from + count)), begin - from);
  return out;
}

async function piecesOf(
  read: SoundSource['read'],
  fromSeconds: number,
  toSeconds: number,
  pieces: number,
): Promise<Float32Array> {
  const out = new Float32Array(pieces * PIECE_SAMPLES);
  const part = (toSeconds - fromSeconds) / pieces;
  for (let i = 0; i < pieces; i++) {
    const from = fromSeconds + (i + 0.5) * part - PIECE_SAMPLES / 2 / SOUND_RATE_HZ;
    const piece = await read(from, from + PIECE_SAMPLES / SOUND_RATE_HZ);
    out.set(piece.subarray(0, PIECE_SAMPLES), i * PIECE_SAMPLES);
  }
  return out;
}

function samplesOf(wav: Uint8Array): Float32Array {
  const reader = new WavReader();
  const samples = new Float32Array(Math.floor(wav.length / 2));
  let filled = 0;
  const take: Parameters<WavReader['push']>[1] = ({ frames, channels }) => {
    samples.set(channels[0].subarray(0, frames), filled);
    filled += frames;
  };
  reader.push(wav, take);
  reader.end(take);
  return samples.subarray(0, filled);
}
