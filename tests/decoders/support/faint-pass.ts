import { encodeWav } from '../../../decoders/audio/wav-write.ts';
import { addNoiseAtEbN0 } from '../../../decoders/simulate/channel.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { keyBurst } from '../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';

const RATE_HZ = 8000;
const BAUD = 500 / 11;
const AMPLITUDE = 0.02;
const TRANSMISSIONS = 10;

/** What a beacon keeps to in `faintPass`. */
export const FAINT = { intervalSeconds: 25.1, markHz: 1292, spaceHz: 1462 } as const;

/** A recording in WAV of 260 s: ten transmissions of a phase-continuous beacon in white noise. */
export function faintPass(textOf: (random: Random) => string, ebN0Db: number, seed: number): Uint8Array {
  const random = new Random(seed);
  const samples = new Float32Array(260 * RATE_HZ);
  for (let k = 0; k < TRANSMISSIONS; k++) {
    const text = textOf(random);
    const at = (4 + FAINT.intervalSeconds * k + random.uniform(-0.01, 0.01)) * RATE_HZ;
    const burst = keyBurst(encode(text, 'ita2', { startShift: 'unknown' }), {
      sampleRateHz: RATE_HZ,
      baud: BAUD,
      stopElements: 1.5,
      markHz: FAINT.markHz,
      spaceHz: FAINT.spaceHz,
      amplitude: AMPLITUDE,
      leadMarkElements: 9,
      tailMarkElements: 9,
      startOffsetSamples: at - Math.floor(at),
      startPhaseRadians: random.uniform(0, 6),
    });
    for (let i = 0; i < burst.length; i++) samples[Math.floor(at) + i] += burst[i];
  }
  addNoiseAtEbN0(samples, { ebN0Db, baud: BAUD, sampleRateHz: RATE_HZ, signalPower: AMPLITUDE ** 2 / 2, random });
  return encodeWav(samples, { sampleRateHz: RATE_HZ, format: 'pcm16' });
}
