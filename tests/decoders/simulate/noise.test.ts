import { describe, expect, it } from 'vitest';
import { complexNoiseSigma, ebN0Db, noiseSigma } from '../../../decoders/simulate/noise.ts';
import reference from '../../reference/fsk-ber.json';

describe('noiseSigma', () => {
  it('agrees with SNR = Eb/N0 + 10 log10(baud / bandwidth) (tests/reference/fsk-ber.json)', () => {
    for (const row of reference.snr_conversion) {
      // White noise in 0..fs/2 and nothing else: the noise bandwidth is fs/2.
      const sampleRateHz = 2 * row.noise_bw_hz;
      const sigma = noiseSigma({ ebN0Db: 7, baud: row.baud, sampleRateHz, signalPower: 0.125 });
      const snrDb = 10 * Math.log10(0.125 / (sigma * sigma));
      expect(snrDb - 7).toBeCloseTo(row.snr_db_minus_ebn0_db, 3);
    }
  });

  it('is undone by ebN0Db', () => {
    const level = { baud: 50, sampleRateHz: 11025, signalPower: 0.02 };
    expect(ebN0Db(noiseSigma({ ...level, ebN0Db: 3.3 }), level)).toBeCloseTo(3.3, 10);
  });
});

describe('complexNoiseSigma', () => {
  it('agrees with C/N0 = Eb/N0 + 10 log10(baud), for a carrier of power one', () => {
    // The real tone of power 1/2 and the complex one of amplitude 1 have the same Eb/N0 where each real part has the same
    // noise and the complex band is as wide as the real one: 0 to rate / 2.
    const real = noiseSigma({ ebN0Db: 7, baud: 50, sampleRateHz: 8000, signalPower: 0.5 });
    const complex = complexNoiseSigma(7 + 10 * Math.log10(50), 4000);
    // Analytic noise in that band has twice the power of the real noise, half of it in either part.
    expect(complex).toBeCloseTo(real, 12);
  });
});
