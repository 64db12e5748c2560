/** Power on either side of zero, and what each bin and its mirror have in common, added up over transforms. */
export class MirroredSpectra {
  /** Bins of a side; number 0 is left out. */
  readonly bins: number;
  readonly upper: Float64Array;
  readonly lower: Float64Array;
  readonly crossRe: Float64Array;
  readonly crossIm: Float64Array;
  transforms = 0;

  constructor(size: number) {
    this.bins = size / 2;
    this.upper = new Float64Array(this.bins);
    this.lower = new Float64Array(this.bins);
    this.crossRe = new Float64Array(this.bins);
    this.crossIm = new Float64Array(this.bins);
  }

  /** Adds a spectrum of re, im pairs, negative frequencies behind the positive ones. */
  add(spectrum: Float64Array): void {
    const size = 2 * this.bins;
    for (let k = 1; k < this.bins; k++) {
      const re = spectrum[2 * k];
      const im = spectrum[2 * k + 1];
      const mirrorRe = spectrum[2 * (size - k)];
      const mirrorIm = spectrum[2 * (size - k) + 1];
      this.upper[k] += re * re + im * im;
      this.lower[k] += mirrorRe * mirrorRe + mirrorIm * mirrorIm;
      this.crossRe[k] += re * mirrorRe - im * mirrorIm;
      this.crossIm[k] += re * mirrorIm + im * mirrorRe;
    }
    this.transforms++;
  }

  clear(): void {
    for (const sums of [this.upper, this.lower, this.crossRe, this.crossIm]) sums.fill(0);
    this.transforms = 0;
  }

  stronger(bin: number): number {
    return Math.max(this.upper[bin], this.lower[bin]);
  }

  weaker(bin: number): number {
    return Math.min(this.upper[bin], this.lower[bin]);
  }

  /** What a bin and its mirror have in common. */
  cross(bin: number): number {
    return Math.hypot(this.crossRe[bin], this.crossIm[bin]);
  }

  /** What they have in common by chance alone, root mean square. */
  chance(bin: number): number {
    return Math.sqrt((this.upper[bin] * this.lower[bin]) / this.transforms);
  }
}
