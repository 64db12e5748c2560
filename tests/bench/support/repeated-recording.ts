import { open } from 'node:fs/promises';
import { wavHeader } from '../../../decoders/audio/wav-write.ts';
import { speech } from '../../../decoders/simulate/material/index.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { simulateRecording } from '../../../decoders/simulate/recording.ts';
import { take } from '../../../decoders/simulate/source.ts';
import { CHANNEL, frameShape } from './shapes.ts';

export const RECORDING_RATE_HZ = 48_000;
/** Of the stretch that is written once or again and again. */
export const STRETCH_SECONDS = 600;

const BEACONS = 10;
const SPEECH_RATE_HZ = 8000;

/** What stands between the beacons: nothing but the noise, or talk that pauses for them. */
export type Background = 'noise' | 'speech';

/** Samples of ten minutes of 16-bit sound at 48 kHz with ten beacons, 10 dB Eb/N0, tones off every grid. */
export function beaconStretch(background: Background): Uint8Array {
  const random = new Random(1);
  const { draw } = frameShape('fixed digits', 'crc-16/ibm-3740');
  const { wav } = simulateRecording({
    texts: Array.from({ length: BEACONS }, () => draw(random)),
    keying: { ...CHANNEL, alphabet: 'ita2', markHz: CHANNEL.markHz + 0.3, spaceHz: CHANNEL.spaceHz + 0.3 },
    faults: { ebN0Db: 10, ...(background === 'speech' ? { speech: talk() } : {}) },
    sampleRateHz: RECORDING_RATE_HZ,
    marginSeconds: 24,
    seed: 1,
  });
  const stretch = new Uint8Array(2 * STRETCH_SECONDS * RECORDING_RATE_HZ);
  const [, ...pieces] = wav();
  let at = 0;
  for (const piece of pieces) {
    const taken = piece.subarray(0, stretch.length - at);
    stretch.set(taken, at);
    at += taken.length;
  }
  return stretch;
}

function talk(): { samples: Float32Array; sampleRateHz: number } {
  const voices = speech({ sampleRateHz: SPEECH_RATE_HZ, seed: 1 });
  return { samples: take(voices, STRETCH_SECONDS * SPEECH_RATE_HZ), sampleRateHz: SPEECH_RATE_HZ };
}

/** Writes a WAV file that holds a stretch so many times. */
export async function writeRepeated(file: string, stretch: Uint8Array, times: number): Promise<void> {
  const frames = times * STRETCH_SECONDS * RECORDING_RATE_HZ;
  const out = await open(file, 'w');
  try {
    await out.write(wavHeader({ sampleRateHz: RECORDING_RATE_HZ, channels: 1, frames, format: 'pcm16' }));
    for (let i = 0; i < times; i++) await out.write(stretch);
  } finally {
    await out.close();
  }
}
