import { describe, expect, test } from 'vitest';
import { ebN0Db, meanPower } from '../../../../decoders/simulate/index.ts';
import { type ChannelFaults, composeRecording, type Transmitter } from '../../../../server/cli/simulate/compose.ts';

const sampleRateHz = 8000;
const transmitter: Transmitter = {
  markHz: 1275,
  spaceHz: 1445,
  baud: 50,
  stopElements: 1.5,
  alphabet: 'ita2',
  unshiftOnSpace: false,
  repeatShifts: 1,
};
const clean: ChannelFaults = { ebN0Db: null, driftHzPerSecond: 0, clockPpm: 0, speech: null, seed: 1 };
const compose = (texts: readonly string[], faults: Partial<ChannelFaults> = {}) =>
  composeRecording(texts, { transmitter, sampleRateHz, pauseSeconds: 2, faults: { ...clean, ...faults } });

const pause = 2 * sampleRateHz;
/** A burst that begins with a letter: a shift, four characters of 7.5 elements, and idle mark of 8 elements around. */
const burst = Math.round(((5 * 7.5 + 16) / 50) * sampleRateHz);

describe('composeRecording', () => {
  test('sends the texts one after the other, with silence around', () => {
    const samples = compose(['ABCD', 'EFGH']);
    expect(Math.abs(samples.length - (3 * pause + 2 * burst))).toBeLessThan(4);
    expect(meanPower(samples.subarray(0, pause))).toBe(0);
    expect(meanPower(samples.subarray(pause, pause + burst))).toBeGreaterThan(0.1);
    expect(meanPower(samples.subarray(pause + burst + 4, 2 * pause + burst))).toBe(0);
  });

  test.each([20, 8])('stands at an Eb/N0 of %d dB, without a sample cut off', (wanted) => {
    const samples = compose(['ABCDEFGHIJKLMNOPQRSTUVWXYZ'], { ebN0Db: wanted });
    const noise = meanPower(samples.subarray(0, pause));
    const both = meanPower(samples.subarray(pause + 400, samples.length - pause - 400));
    const found = ebN0Db(Math.sqrt(noise), { baud: 50, sampleRateHz, signalPower: both - noise });
    expect(found).toBeCloseTo(wanted, 0);
    expect(samples.every((sample) => Math.abs(sample) <= 0.9501)).toBe(true);
  });

  test('is the same for the same seed, and another for another', () => {
    const seeded = (seed: number) => compose(['ABCD'], { ebN0Db: 10, seed });
    expect(seeded(3)).toEqual(seeded(3));
    expect(seeded(3)).not.toEqual(seeded(4));
  });

  test('repeats the speech over the whole recording, as loud as asked for', () => {
    const speech = Float32Array.from({ length: 3000 }, (_, i) => Math.sin(i));
    const samples = compose(['ABCD'], { speech: { samples: speech, levelDb: 6 } });
    const plain = meanPower(compose(['ABCD']).subarray(pause + 400, pause + burst - 400));
    const [first, last] = [samples.subarray(0, pause), samples.subarray(samples.length - pause)];
    // Scaling to fit changes beacon and speech alike.
    const scale = meanPower(samples.subarray(pause + 400, pause + burst - 400)) / (plain * (1 + 10 ** 0.6));
    expect(10 * Math.log10(meanPower(first) / scale / plain)).toBeCloseTo(6, 0);
    expect(meanPower(last) / meanPower(first)).toBeCloseTo(1, 1);
  });
});
