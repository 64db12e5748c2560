import { createFft } from '../signal/fft.ts';
import { isNoDelay } from './delay-test.ts';
import { MirroredSpectra } from './mirrored-spectra.ts';

/** Length of the transforms at rates of sound, and how many make a window; longer at higher rates, to part the two tones. */
const SIZE = 1024;
const TRANSFORMS = 192;
/** Audio is recorded at no more than this because nobody hears more; a band at less is too narrow for most receivers. */
const LEAST_RATE_HZ = 40_000;
/** Bins about zero, where receivers leave a line of their own. */
const ABOUT_ZERO = 3;
/** Correlation of a bin and its mirror: in a band only chance makes any (0.07), but for strong lines and their images. */
const PROPER = 0.35;
/** Share of bins beyond it: a band has next to none, sound in two channels many. */
const MOST_IMPROPER_IN_BAND = 0.02;
const LEAST_IMPROPER_IN_SOUND = 0.08;
/** A bin that has hardly anything on its mirror side, and how many of them are no chance. */
const ONE_SIDED = 0.9;
const FEWEST_ONE_SIDED = 3;
/** Between the lines stands noise, the same on both sides, as far as the rate reaches. */
const MOST_LOPSIDED_FLOOR = 0.25;
const LEAST_HIGH_FLOOR = 0.3;
/** A bin so far above the floor is strong. */
const STRONG = 10;
/**
 * Image over signal, amplitudes: 30 dB, which digital receivers keep by far. It stands for all that makes two channels unequal
 * or not in quadrature; what two microphones or receivers hear comes there by chance alone.
 */
const MOST_IMAGE = 0.03;
/** Times the root mean square of what chance adds. */
const MOST_CHANCE = 3;

export type Verdict = 'open' | 'band' | 'sound';

/** Frames of a window, of 3 to 5 s: how much of a recording is looked at at once. */
export function windowFrames(sampleRateHz: number): number {
  return transformSize(sampleRateHz) * TRANSFORMS;
}

function transformSize(sampleRateHz: number): number {
  return SIZE * 2 ** Math.max(0, Math.floor(Math.log2(sampleRateHz / LEAST_RATE_HZ)));
}

/**
 * Tells whether the two channels of a recording are the two parts, I and Q, of a complex band. Of a band's spectrum one
 * side knows nothing of the other (B. Picinbono, On circularity, 1994), and a signal on one side has no twin on the other; whatever
 * two microphones or two loudspeakers share is the same on both. Every strong signal must bear that out, and none that a
 * delay between channels explains counts. `open` as long as nothing decides, which is sound unless somebody knows better.
 */
export class BandRecogniser {
  readonly #isFast: boolean;
  readonly #fft: ReturnType<typeof createFft>;
  readonly #window: Float64Array;
  readonly #spectra: MirroredSpectra;
  #filled = 0;
  verdict: Verdict = 'open';

  constructor(sampleRateHz: number) {
    this.#isFast = sampleRateHz >= LEAST_RATE_HZ;
    const size = transformSize(sampleRateHz);
    this.#fft = createFft(size);
    this.#window = Float64Array.from({ length: size }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / size));
    this.#spectra = new MirroredSpectra(size);
  }

  /** Looks at the next samples of both channels, as long as it is open. */
  add(first: Float32Array, second: Float32Array): Verdict {
    const { input } = this.#fft;
    for (let i = 0; i < first.length && this.verdict === 'open'; i++) {
      const weight = this.#window[this.#filled];
      input[2 * this.#filled] = weight * first[i];
      input[2 * this.#filled + 1] = weight * second[i];
      this.#filled++;
      if (this.#filled === this.#window.length) this.#transform();
    }
    return this.verdict;
  }

  #transform(): void {
    this.#filled = 0;
    this.#fft.run();
    this.#spectra.add(this.#fft.output);
    if (this.#spectra.transforms < TRANSFORMS) return;
    this.verdict = this.#judge();
    this.#spectra.clear();
  }

  #judge(): Verdict {
    const { upper, lower } = this.#spectra;
    const bins = Array.from({ length: this.#spectra.bins - ABOUT_ZERO }, (_, i) => ABOUT_ZERO + i);
    const improper = bins.filter((k) => this.#spectra.cross(k) > PROPER * Math.sqrt(upper[k] * lower[k]));
    const share = improper.length / bins.length;
    if (share >= LEAST_IMPROPER_IN_SOUND) return 'sound';
    if (!this.#isFast || share > MOST_IMPROPER_IN_BAND) return 'open';
    const isBand = hasWhiteFloor(this.#spectra, bins) && isInQuadrature(this.#spectra, bins);
    if (!isBand) return 'open';
    const oneSided = bins.filter((k) => lopsided(this.#spectra, k) > ONE_SIDED);
    return oneSided.length >= FEWEST_ONE_SIDED && isNoDelay(this.#spectra, oneSided) ? 'band' : 'open';
  }
}

function lopsided(spectra: MirroredSpectra, bin: number): number {
  const both = spectra.upper[bin] + spectra.lower[bin];
  return both > 0 ? Math.abs(spectra.upper[bin] - spectra.lower[bin]) / both : 0;
}

function hasWhiteFloor(spectra: MirroredSpectra, bins: readonly number[]): boolean {
  const power = bins.map((k) => spectra.upper[k] + spectra.lower[k]);
  const half = power.length >> 1;
  return (
    median(bins.map((k) => lopsided(spectra, k))) < MOST_LOPSIDED_FLOOR &&
    median(power.slice(half)) > LEAST_HIGH_FLOOR * median(power.slice(0, half))
  );
}

/** Whether the channels are of equal power and in quadrature, in the noise as a whole and in each strong bin. */
function isInQuadrature(spectra: MirroredSpectra, bins: readonly number[]): boolean {
  const floor = median(bins.map((k) => spectra.stronger(k)));
  let re = 0;
  let im = 0;
  let size = 0;
  for (const k of bins) {
    const stronger = spectra.stronger(k);
    if (stronger > STRONG * floor) {
      if (spectra.cross(k) > MOST_IMAGE * stronger + MOST_CHANCE * spectra.chance(k)) return false;
    } else {
      re += spectra.crossRe[k];
      im += spectra.crossIm[k];
      size += Math.sqrt(spectra.upper[k] * spectra.lower[k]);
    }
  }
  const chance = size / Math.sqrt(bins.length * spectra.transforms);
  return Math.hypot(re, im) <= MOST_IMAGE * size + MOST_CHANCE * chance;
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0;
}
