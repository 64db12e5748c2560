import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../decoders/audio/wav-write.ts';
import { renderFrame } from '../../decoders/frames/render.ts';
import { addNoiseAtEbN0 } from '../../decoders/simulate/channel.ts';
import { Random } from '../../decoders/simulate/random.ts';
import { keyBurst } from '../../decoders/simulate/transmitter.ts';
import { encode } from '../../decoders/teletype/alphabets.ts';
import { digitFrame, missionOf } from './support/missions.ts';
import { decodeBytes } from './support/wav.ts';

const MISSION = missionOf({ a: digitFrame('crc-16/ibm-3740') });
const TEXT = renderFrame(MISSION, 'a', Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, 1111 * i])));

interface Scene {
  readonly sampleRateHz: number;
  readonly ebN0Db?: number;
  readonly seed: number;
  readonly text?: string;
}

/** A burst between one second of nothing and two, at 45.45 Bd and 170 Hz. */
function scene({ sampleRateHz, ebN0Db, seed, text = TEXT }: Scene): Float32Array {
  const random = new Random(seed);
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const burst = keyBurst(codes, {
    sampleRateHz,
    baud: 500 / 11,
    stopElements: 1.5,
    markHz: 1275,
    spaceHz: 1445,
    amplitude: 0.2,
    leadMarkElements: 9,
    tailMarkElements: 9,
  });
  const samples = new Float32Array(burst.length + 3 * sampleRateHz);
  samples.set(burst, sampleRateHz);
  if (ebN0Db !== undefined) {
    addNoiseAtEbN0(samples, { ebN0Db, baud: 500 / 11, sampleRateHz, signalPower: 0.02, random });
  }
  return samples;
}

describe('a recording', () => {
  test.each([8000, 11025, 22050, 44100, 48000])('at %d Hz gives its frame and where it stood', (sampleRateHz) => {
    const wav = encodeWav(scene({ sampleRateHz, ebN0Db: 12, seed: 1 }), { sampleRateHz, format: 'pcm16' });
    const { bursts, summary } = decodeBytes(wav, { missions: [MISSION], startedAt: '2027-03-01T10:00:00Z' });
    expect(bursts).toHaveLength(1);
    expect(bursts[0].frames).toHaveLength(1);
    const { frame } = bursts[0].frames[0];
    expect(frame).toMatchObject({ text: TEXT, trust: 'confirmed' });
    // One second of lead, nine elements of mark, one shift code.
    expect(frame.startSeconds).toBeCloseTo(1 + 9 * 0.022 + 0.165, 1);
    expect(summary.seconds).toBeCloseTo((wav.length - 44) / 2 / sampleRateHz, 1);
  });

  test('gives the same in pieces of any size', () => {
    const wav = encodeWav(scene({ sampleRateHz: 11025, ebN0Db: 9, seed: 2 }), { sampleRateHz: 11025, format: 'pcm16' });
    const whole = decodeBytes(wav, { missions: [MISSION] });
    for (const piece of [1000, 7777, 65_536]) expect(decodeBytes(wav, { missions: [MISSION] }, piece)).toEqual(whole);
  });

  test('of two channels, the clearer copy counts', () => {
    const sampleRateHz = 8000;
    const poor = scene({ sampleRateHz, ebN0Db: 5, seed: 3 });
    const clear = scene({ sampleRateHz, ebN0Db: 14, seed: 4 });
    const { bursts, summary } = decodeBytes(encodeWav([poor, clear], { sampleRateHz, format: 'pcm16' }), {
      missions: [MISSION],
    });
    expect(bursts).toHaveLength(1);
    expect(bursts[0].burst.ebN0Db).toBeGreaterThan(11);
    expect(summary.channel).toBe(1);
  });

  test('a burst cut by the end of the file gives the fields it holds', () => {
    const sampleRateHz = 8000;
    const samples = scene({ sampleRateHz, ebN0Db: 14, seed: 5 });
    const cut = samples.slice(0, samples.length - 6 * sampleRateHz);
    const { bursts } = decodeBytes(encodeWav(cut, { sampleRateHz, format: 'pcm16' }), { missions: [MISSION] });
    const { frame } = bursts[0].frames[0];
    expect(frame.complete).toBe(false);
    expect(frame.fields.f2.raw).toBe(2222);
    expect(frame.fields.f8).toBeUndefined();
  });

  test('silence, clipping and noise give no burst', () => {
    const sampleRateHz = 8000;
    const random = new Random(6);
    const seconds = 20 * sampleRateHz;
    const cases = [
      new Float32Array(seconds),
      new Float32Array(seconds).fill(1),
      Float32Array.from({ length: seconds }, () => 0.1 * random.gaussian()),
      Float32Array.from({ length: seconds }, () => Math.sign(random.gaussian())),
    ];
    for (const samples of cases) {
      expect(decodeBytes(encodeWav(samples, { sampleRateHz, format: 'pcm16' })).bursts).toHaveLength(0);
    }
  });
});

test('a speed that only the mission names is found', () => {
  const sampleRateHz = 8000;
  const codes = encode('Q0DUN 12345 67890 ABCDE FGHIJ KLMNO 12345', 'ita2', { startShift: 'unknown' });
  const burst = keyBurst(codes, { sampleRateHz, baud: 65, stopElements: 1.5, markHz: 1300, spaceHz: 1500 });
  const samples = new Float32Array(burst.length + 4 * sampleRateHz);
  samples.set(burst, 2 * sampleRateHz);
  const mission = missionOf({ a: digitFrame(null) }, { baud: 65 });
  const { bursts } = decodeBytes(encodeWav(samples, { sampleRateHz, format: 'pcm16' }), { missions: [mission] });
  expect(bursts.map(({ burst: { baud } }) => Math.round(baud))).toEqual([65]);
});

describe('a burst at 1 dB', () => {
  const sampleRateHz = 8000;
  // Turned down: noise so much stronger than the tones would be clipped.
  const bytesOf = (seed: number) => {
    const samples = scene({ sampleRateHz, ebN0Db: 1, seed }).map((x) => 0.1 * x);
    return encodeWav(samples, { sampleRateHz, format: 'pcm16' });
  };
  const seeds = [31, 32, 33, 34, 35, 36];

  test('is found by the mission that knows what it must say, and seldom without', () => {
    const counts = [[MISSION], []].map(
      (missions) => seeds.filter((seed) => decodeBytes(bytesOf(seed), { missions }).bursts.length > 0).length,
    );
    expect(counts[0]).toBe(seeds.length);
    expect(counts[1]).toBeLessThan(seeds.length - 1);
  });

  test('is the same in pieces of any size', () => {
    const whole = decodeBytes(bytesOf(31), { missions: [MISSION] });
    expect(decodeBytes(bytesOf(31), { missions: [MISSION] }, 7777)).toEqual(whole);
  });
});
