/** Where a signal stands against white noise: what Eb/N0 is defined by. */
export interface NoiseLevel {
  /** Energy of one element over the one-sided noise density, dB. */
  readonly ebN0Db: number;
  /** Elements a second. */
  readonly baud: number;
  readonly sampleRateHz: number;
  /** Mean square of the samples while the tone is on; A^2/2 for a tone of amplitude A. */
  readonly signalPower: number;
}

/**
 * Standard deviation of the white noise samples that give this Eb/N0.
 *
 * Eb = signalPower / baud is the energy of ONE start or data element; real samples of variance sigma^2 spread it over
 * 0..sampleRateHz/2, so N0 = sigma^2 / (sampleRateHz / 2) (Proakis, Digital Communications).
 */
export function noiseSigma(level: NoiseLevel): number {
  const n0 = level.signalPower / level.baud / 10 ** (level.ebN0Db / 10);
  return Math.sqrt((n0 * level.sampleRateHz) / 2);
}

/** The inverse of `noiseSigma`: Eb/N0 in dB of a signal in white noise of standard deviation `sigma`. */
export function ebN0Db(sigma: number, level: Omit<NoiseLevel, 'ebN0Db'>): number {
  const n0 = (2 * sigma * sigma) / level.sampleRateHz;
  return 10 * Math.log10(level.signalPower / level.baud / n0);
}

/**
 * Standard deviation of each part of complex white noise samples against a carrier of power one: samples of variance
 * 2 sigma^2 spread N0 over the whole sample rate, -sampleRateHz/2 to sampleRateHz/2.
 */
export function complexNoiseSigma(cn0DbHz: number, sampleRateHz: number): number {
  return Math.sqrt((sampleRateHz * 10 ** (-cn0DbHz / 10)) / 2);
}
