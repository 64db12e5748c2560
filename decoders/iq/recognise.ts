import { createFft } from '../signal/fft.ts';

/** Length of the transforms, and how many make a window. */
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

export type Verdict = 'open' | 'band' | 'sound';

/** Frames of a window: how much of a recording is looked at at once. */
export const WINDOW_FRAMES = SIZE * TRANSFORMS;

/**
 * Tells whether the two channels of a recording are the two parts, I and Q, of a complex band. Of a band's spectrum one
 * side knows nothing of the other (B. Picinbono, On circularity, 1994), and a signal on one side has no twin on the other; whatever
 * two microphones or two loudspeakers share is the same on both. `open` as long as nothing decides.
 */
export class BandRecogniser {
  readonly #isFast: boolean;
  readonly #fft = createFft(SIZE);
  readonly #window = Float64Array.from({ length: SIZE }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / SIZE));
  readonly #upper = new Float64Array(SIZE / 2);
  readonly #lower = new Float64Array(SIZE / 2);
  readonly #crossRe = new Float64Array(SIZE / 2);
  readonly #crossIm = new Float64Array(SIZE / 2);
  #filled = 0;
  #transforms = 0;
  verdict: Verdict = 'open';

  constructor(sampleRateHz: number) {
    this.#isFast = sampleRateHz >= LEAST_RATE_HZ;
  }

  /** Looks at the next samples of both channels, as long as it is open. */
  add(first: Float32Array, second: Float32Array): Verdict {
    const { input } = this.#fft;
    for (let i = 0; i < first.length && this.verdict === 'open'; i++) {
      const weight = this.#window[this.#filled];
      input[2 * this.#filled] = weight * first[i];
      input[2 * this.#filled + 1] = weight * second[i];
      this.#filled++;
      if (this.#filled === SIZE) this.#transform();
    }
    return this.verdict;
  }

  #transform(): void {
    this.#filled = 0;
    this.#fft.run();
    addMirrored(this.#fft.output, this.#upper, this.#lower, this.#crossRe, this.#crossIm);
    if (++this.#transforms < TRANSFORMS) return;
    this.verdict = this.#judge();
    this.#transforms = 0;
    for (const sums of [this.#upper, this.#lower, this.#crossRe, this.#crossIm]) sums.fill(0);
  }

  #judge(): Verdict {
    const power: number[] = [];
    const lopsided: number[] = [];
    let improper = 0;
    for (let k = ABOUT_ZERO; k < SIZE / 2; k++) {
      const upper = this.#upper[k];
      const lower = this.#lower[k];
      power.push(upper + lower);
      lopsided.push(upper + lower > 0 ? Math.abs(upper - lower) / (upper + lower) : 0);
      const mirrored = Math.hypot(this.#crossRe[k], this.#crossIm[k]);
      if (mirrored > PROPER * Math.sqrt(upper * lower)) improper++;
    }
    const share = improper / power.length;
    if (share >= LEAST_IMPROPER_IN_SOUND) return 'sound';
    const half = power.length >> 1;
    const isBand =
      this.#isFast &&
      share <= MOST_IMPROPER_IN_BAND &&
      lopsided.filter((each) => each > ONE_SIDED).length >= FEWEST_ONE_SIDED &&
      median(lopsided) < MOST_LOPSIDED_FLOOR &&
      median(power.slice(half)) > LEAST_HIGH_FLOOR * median(power.slice(0, half));
    return isBand ? 'band' : 'open';
  }
}

/** Adds up the powers on either side of zero, and what bins and their mirrors have in common. */
function addMirrored(
  spectrum: Float64Array,
  upper: Float64Array,
  lower: Float64Array,
  crossRe: Float64Array,
  crossIm: Float64Array,
): void {
  for (let k = 1; k < upper.length; k++) {
    const re = spectrum[2 * k];
    const im = spectrum[2 * k + 1];
    const mirrorRe = spectrum[2 * (SIZE - k)];
    const mirrorIm = spectrum[2 * (SIZE - k) + 1];
    upper[k] += re * re + im * im;
    lower[k] += mirrorRe * mirrorRe + mirrorIm * mirrorIm;
    crossRe[k] += re * mirrorRe - im * mirrorIm;
    crossIm[k] += re * mirrorIm + im * mirrorRe;
  }
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0;
}
