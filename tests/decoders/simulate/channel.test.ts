import { describe, expect, it } from 'vitest';
import { addNoiseAtEbN0, gainForLevel, meanPower, mixInto } from '../../../decoders/simulate/channel.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { keyBurst } from '../../../decoders/simulate/transmitter.ts';
import reference from '../../reference/fsk-ber.json';

const BAUD = 1 / 0.022;

describe('addNoiseAtEbN0', () => {
  it('adds the noise power that the definition of Eb/N0 asks for', () => {
    const samples = new Float32Array(400_000);
    addNoiseAtEbN0(samples, { ebN0Db: 6, baud: 50, sampleRateHz: 8000, signalPower: 0.125, random: new Random(21) });
    // Eb/N0 = (P / baud) / (sigma^2 / (fs/2)).
    const measured = 10 * Math.log10(0.125 / 50 / (meanPower(samples) / 4000));
    expect(Math.abs(measured - 6)).toBeLessThan(0.05);
  });

  /** Share of elements that a noncoherent matched filter with known timing gets wrong. */
  function bitErrorRate(db: number, spaceHz: number, characters: number): number {
    const sampleRateHz = 4000;
    const markHz = 1000;
    const perElement = sampleRateHz * 0.022;
    const random = new Random(1000 + db);
    const codes = Uint8Array.from({ length: characters }, () => random.integer(32));
    const samples = keyBurst(codes, { sampleRateHz, baud: BAUD, stopElements: 1, markHz, spaceHz, amplitude: 0.5 });
    addNoiseAtEbN0(samples, { ebN0Db: db, baud: BAUD, sampleRateHz, signalPower: meanPower(samples), random });

    const tones = [spaceHz, markHz].map((hz) => ({
      re: Float64Array.from({ length: perElement }, (_, n) => Math.cos((2 * Math.PI * hz * n) / sampleRateHz)),
      im: Float64Array.from({ length: perElement }, (_, n) => Math.sin((2 * Math.PI * hz * n) / sampleRateHz)),
    }));
    const power = (from: number, { re, im }: { re: Float64Array; im: Float64Array }): number => {
      let a = 0;
      let b = 0;
      for (let n = 0; n < perElement; n++) {
        a += samples[from + n] * re[n];
        b += samples[from + n] * im[n];
      }
      return a * a + b * b;
    };
    let errors = 0;
    for (let c = 0; c < characters; c++) {
      const sent = (codes[c] << 1) | 0b1000000;
      for (let e = 0; e < 7; e++) {
        const from = (7 * c + e) * perElement;
        const mark = power(from, tones[1]) > power(from, tones[0]);
        if (mark !== (((sent >> e) & 1) === 1)) errors++;
      }
    }
    return errors / (7 * characters);
  }

  // At least 3600 errors a point: 5 % is three standard errors.
  it.each([
    [4, 4_000],
    [5, 5_000],
    [6, 8_000],
    [7, 13_000],
    [8, 25_000],
  ])('gives a matched filter at an orthogonal shift 0.5 exp(-Eb/2N0) at %i dB (fsk-ber.json)', (db, characters) => {
    const theory = reference.awgn.find((row) => row.ebn0_db === db)?.noncoherent ?? Number.NaN;
    expect(Math.abs(bitErrorRate(db, 1000 + 4 * BAUD, characters) / theory - 1)).toBeLessThan(0.05);
  });
});

describe('mixInto', () => {
  it('adds at a place and leaves out what does not fit', () => {
    const target = new Float32Array(4);
    mixInto(target, Float32Array.of(1, 2, 3), -1, 0.5);
    mixInto(target, Float32Array.of(1, 2, 3), 2);
    expect([...target]).toEqual([1, 1.5, 1, 2]);
  });
});

describe('gainForLevel', () => {
  it('brings a sound to its level over the reference', () => {
    const gain = gainForLevel(0.01, 0.125, 20);
    expect(10 * Math.log10((gain * gain * 0.01) / 0.125)).toBeCloseTo(20, 10);
    expect(gainForLevel(0, 1, 20)).toBe(0);
  });
});
