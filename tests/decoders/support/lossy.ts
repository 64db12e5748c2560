import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import type { AudioBlock, AudioInfo, AudioProblem } from '../../../decoders/audio/index.ts';
import { PREPARE_BYTES, prepareAudio, RecordingReader } from '../../../decoders/audio/index.ts';
import { AudioError } from '../../../decoders/errors.ts';
import { createRecordingDecoder } from '../../../decoders/recording.ts';
import { sampleMission } from './missions.ts';

const root = join(import.meta.dirname, '../../..');

/** A file of tests/reference/audio; its README says who wrote it. */
export function referenceAudio(name: string): Uint8Array {
  return new Uint8Array(readFileSync(join(root, 'tests/reference/audio', name)));
}

export interface Recording {
  readonly info: AudioInfo;
  readonly problems: readonly AudioProblem[];
  readonly channels: readonly Float32Array[];
  readonly seconds: number;
  /** Alike for the same samples, bit for bit. */
  readonly digest: string;
}

/** Reads a whole recording in pieces (lengths used in turn). */
export async function readRecording(file: Uint8Array, pieces: readonly number[] = [65_536]): Promise<Recording> {
  const reader = new RecordingReader({ codecs: await prepareAudio(file.subarray(0, PREPARE_BYTES)) });
  const blocks: Float32Array[][] = [];
  const keep = ({ channels, frames }: AudioBlock) => blocks.push(channels.map((channel) => channel.slice(0, frames)));
  for (let i = 0, at = 0; at < file.length; i++) {
    const length = pieces[i % pieces.length];
    reader.push(file.subarray(at, at + length), keep);
    at += length;
  }
  reader.end(keep);
  if (reader.info === null) throw new Error('no info');
  const frames = blocks.reduce((sum, [first]) => sum + first.length, 0);
  const channels = Array.from({ length: reader.info.channels }, (_, c) => {
    const all = new Float32Array(frames);
    let at = 0;
    for (const block of blocks) {
      all.set(block[c], at);
      at += block[c].length;
    }
    return all;
  });
  const hash = createHash('sha256');
  for (const channel of channels) hash.update(new Uint8Array(channel.buffer));
  return {
    info: reader.info,
    problems: reader.problems,
    channels,
    seconds: frames / reader.info.sampleRateHz,
    digest: hash.digest('hex'),
  };
}

/** What two readings must have alike. */
export function digestOf({ digest, problems, info }: Recording): Pick<Recording, 'digest' | 'problems' | 'info'> {
  return { digest, problems, info };
}

/** What becomes of a damaged file: a recording, or the error that says why not. Anything else is thrown. */
export async function readDamaged(file: Uint8Array): Promise<Recording | AudioError> {
  try {
    return await readRecording(file);
  } catch (error) {
    if (error instanceof AudioError) return error;
    throw error;
  }
}

/** Texts and trust of all frames of Dunlin-1 in a recording. */
export async function framesOf(file: Uint8Array): Promise<string[]> {
  const codecs = await prepareAudio(file.subarray(0, PREPARE_BYTES));
  const decoder = createRecordingDecoder({ missions: [sampleMission('dunlin-1')], codecs });
  const frames: string[] = [];
  const keep: Parameters<typeof decoder.push>[1] = (event) => {
    if (event.type === 'burst') for (const { frame } of event.frames) frames.push(`${frame.trust} ${frame.text}`);
  };
  decoder.push(file, keep);
  decoder.end(keep);
  return frames;
}

/** What `framesOf` gives of the original, as its sheet says. */
export const FRAMES_OF_DUNLIN_THREE: readonly string[] = JSON.parse(
  readFileSync(join(root, 'samples/dunlin-three.expected.json'), 'utf8'),
).expected.frames.map(({ trust, text }: { trust: string; text: string }) => `${trust} ${text}`);

/**
 * How a tone that begins with phase 0 at time 0 fits the samples between two times: its amplitude, its phase against
 * that in radians, and the power of the rest against its own in dB.
 */
export function fitTone(
  samples: Float32Array,
  sampleRateHz: number,
  toneHz: number,
  fromSeconds: number,
  toSeconds: number,
): { amplitude: number; phase: number; restDb: number } {
  const from = Math.round(fromSeconds * sampleRateHz);
  const to = Math.round(toSeconds * sampleRateHz);
  let sine = 0;
  let cosine = 0;
  let power = 0;
  for (let n = from; n < to; n++) {
    const angle = (2 * Math.PI * toneHz * n) / sampleRateHz;
    sine += (2 * samples[n] * Math.sin(angle)) / (to - from);
    cosine += (2 * samples[n] * Math.cos(angle)) / (to - from);
    power += samples[n] ** 2 / (to - from);
  }
  const tone = (sine ** 2 + cosine ** 2) / 2;
  return {
    amplitude: Math.hypot(sine, cosine),
    phase: Math.atan2(cosine, sine),
    restDb: 10 * Math.log10(Math.max(power - tone, 1e-12) / tone),
  };
}

/** What every kind of file has to do: the same in pieces of any size, and the frames of what it was made from. */
export function itReads(ending: 'mp3' | 'ogg' | 'opus'): void {
  it('gives the same in pieces of any size', async () => {
    const tone = referenceAudio(`tone.${ending}`);
    const whole = digestOf(await readRecording(tone));
    for (const pieces of [[1], [7, 100, 3000], [4096]]) {
      expect(digestOf(await readRecording(tone, pieces))).toEqual(whole);
    }
  });

  it('gives the frames of the original', async () => {
    expect(await framesOf(referenceAudio(`dunlin-three.${ending}`))).toEqual(FRAMES_OF_DUNLIN_THREE);
  });
}
