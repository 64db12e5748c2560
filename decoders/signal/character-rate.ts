import type { Fft } from './fft.ts';

/** Longest transform. */
export const RATE_FFT = 1024;
/** Cells of the keying's spectrum count at most this much, relative to their neighbourhood. */
const LINE_LIMIT = 10;
/** Neighbourhood of a spectral cell: so many bins on either side, without the nearest. */
const NEIGHBOURS = 11;
const NEAREST = 2;
const HIGHEST_HARMONIC = 4;

export interface CharacterRate {
  readonly hz: number;
  /** Weighted strength of the lines at one to four times the rate; noise stays below 11 in 99 of 100 cases. */
  readonly strength: number;
}

const power = new Float64Array(RATE_FFT / 2 + 1);
const line = new Float64Array(RATE_FFT / 2 + 1);
const prefix = new Float64Array(RATE_FFT / 2 + 2);

/**
 * Looks for the lines that start and stop elements draw at multiples of the character rate, whatever speed and stop
 * length make it up.
 *
 * @param d keying, `count` values at `rateHz`, no more than `fft` takes.
 */
export function findCharacterRate(
  d: Float64Array,
  count: number,
  rateHz: number,
  lowestHz: number,
  highestHz: number,
  fft: Fft,
): CharacterRate {
  spectrumOf(d, count, fft);
  fft.run();
  const size = fft.input.length / 2;
  measureLines(fft.output, size / 2, power, prefix, line);
  const bin = rateHz / size;
  let best = 0;
  let bestHz = lowestHz;
  const lowest = Math.ceil((4 * lowestHz) / bin);
  const highest = Math.floor((4 * highestHz) / bin);
  for (let quarter = lowest; quarter <= highest; quarter++) {
    const strength =
      0.6 * line[Math.round(quarter / 4)] +
      line[Math.round(quarter / 2)] +
      0.8 * line[Math.round((3 * quarter) / 4)] +
      0.4 * line[quarter];
    if (strength > best) {
      best = strength;
      bestHz = (quarter / 4) * bin;
    }
  }
  return { hz: bestHz, strength: best };
}

/** Highest character rate whose harmonics still lie below half the rate of `d`. */
export const highestCharacterRate = (rateHz: number): number => (rateHz / 2) * (1 / HIGHEST_HARMONIC);

function spectrumOf(d: Float64Array, count: number, fft: Fft): void {
  const pairs = fft.input;
  let mean = 0;
  for (let i = 0; i < count; i++) mean += d[i];
  mean /= count;
  pairs.fill(0);
  for (let i = 0; i < count; i++) pairs[2 * i] = d[i] - mean;
}

function measureLines(
  spectrum: Float64Array,
  last: number,
  power: Float64Array,
  prefix: Float64Array,
  line: Float64Array,
): void {
  for (let k = 0; k <= last; k++) {
    const re = spectrum[2 * k];
    const im = spectrum[2 * k + 1];
    power[k] = re * re + im * im;
    prefix[k + 1] = prefix[k] + power[k];
  }
  for (let k = 0; k <= last; k++) {
    const low = Math.max(0, k - NEIGHBOURS);
    const high = Math.min(last, k + NEIGHBOURS);
    const nearLow = Math.max(0, k - NEAREST);
    const nearHigh = Math.min(last, k + NEAREST);
    const sum = prefix[high + 1] - prefix[low] - (prefix[nearHigh + 1] - prefix[nearLow]);
    const count = high - low - (nearHigh - nearLow);
    const cell = sum > 0 ? (power[k] * count) / sum : 0;
    line[k] = Math.min(cell, LINE_LIMIT);
  }
}
