import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../../decoders/audio/wav-write.ts';
import { BurstListener, type BurstSound } from '../../../decoders/iq/burst-sound.ts';
import { heardTones } from '../../../decoders/iq/heard-tones.ts';
import type { BurstCarrier } from '../../../decoders/signal/types.ts';
import { BAND_KEYING, BAND_MISSION, bandOf, bandTexts } from '../support/band.ts';
import { decodeBytes } from '../support/wav.ts';

const texts = bandTexts(1);
const RATE = 24_000;
const SHIFT = { markHz: -5085, spaceHz: -4915, driftHzPerSecond: -60 };

/** A band drifting with a pass's Doppler, and its burst listened to in blocks. */
function listened(modulation: Parameters<typeof bandOf>[0]['modulation'], block: number): BurstSound {
  const { band, data } = bandOf({
    texts,
    modulation,
    pass: { heightKm: 400, maxElevationDegrees: 90, closestSeconds: 8 },
    sampleRateHz: RATE,
    cn0DbHz: 55,
    carrierHz: 145.9e6 - 5000,
    centerHz: 145.9e6,
  });
  const words = new Int16Array(new Uint8Array(data).buffer);
  const [re, im] = [0, 1].map((part) =>
    Float32Array.from({ length: words.length / 2 }, (_, n) => words[2 * n + part] / 32_768),
  );
  const [{ startSeconds, endSeconds }] = band.bursts;
  const seconds = (startSeconds + endSeconds) / 2;
  const carrier: BurstCarrier = {
    modulation: modulation.kind,
    seconds,
    carrierHz: band.carrierAt(seconds),
    absoluteHz: null,
    driftHzPerSecond: band.carrierAt(seconds + 0.5) - band.carrierAt(seconds - 0.5),
    uncertaintyHz: 1,
    track: [],
  };
  const first = RATE / 2;
  const listener = new BurstListener(RATE, carrier, first);
  for (let at = first; at < re.length; at += block)
    listener.push(re.subarray(at, at + block), im.subarray(at, at + block));
  const sound = listener.end();
  expect(sound.samples.length / sound.rateHz).toBeCloseTo((re.length - first) / RATE, 2);
  return sound;
}

describe.each([
  ['a keyed carrier', { kind: 'fsk' }, heardTones({ ...SHIFT }, 'fsk')],
  [
    'tones on an FM carrier',
    { kind: 'fm', peakDeviationHz: 3000 },
    heardTones({ ...BAND_KEYING, driftHzPerSecond: 0 }, 'fm'),
  ],
] as const)('what is heard of %s', (_name, modulation, tones) => {
  const sound = listened(modulation, 4096);

  test('reads as what was sent, at the tones that are told, which stand still', () => {
    const wav = encodeWav(sound.samples, { sampleRateHz: sound.rateHz, format: 'pcm16' });
    const { bursts } = decodeBytes(wav, { missions: [BAND_MISSION] });
    expect(bursts.map(({ frames }) => frames.map(({ frame }) => frame.text))).toEqual([texts]);
    const [{ burst }] = bursts;
    expect(Math.abs(burst.markHz - tones.markHz)).toBeLessThan(20);
    expect(Math.abs(burst.spaceHz - tones.spaceHz)).toBeLessThan(20);
    expect(Math.abs(burst.driftHzPerSecond)).toBeLessThan(5);
    expect(tones.driftHzPerSecond).toBe(0);
  });

  test('is the same in blocks of any size', () => {
    expect(listened(modulation, 997)).toEqual(sound);
  });
});
