import { kaiserBeta, kaiserTapCount, lowPassTaps } from '../signal/fir.ts';
import { usualKernel } from '../signal/kernel/kernel.ts';

/** A wider band is not searched as a whole: that would take longer than it lasts. */
export const WIDEST_WHOLE_HZ = 512_000;
/** Of a wider band a part is searched, sampled at no more than this; and what of it stands unharmed, as a share of its rate. */
const MOST_PART_RATE_HZ = 256_000;
const PASS = 0.4;
const ATTENUATION_DB = 60;
/** Outputs made at once. */
const OUTPUTS = 1024;

/** The part of a wide band that is searched. */
export interface Narrowing {
  /** Its middle, from that of the band. */
  readonly offsetHz: number;
  readonly decimation: number;
  /** What is searched on either side of its middle. */
  readonly passHz: number;
}

/**
 * Which part of a band is searched: null for all of it. Of a wide one it lies where most of the downlinks that are known are,
 * else in the middle.
 *
 * @param centerHz frequency that stands at zero; null when unknown.
 */
export function narrowingOf(
  bandRateHz: number,
  centerHz: number | null,
  downlinksHz: readonly number[],
): Narrowing | null {
  if (!(bandRateHz > WIDEST_WHOLE_HZ)) return null;
  const decimation = Math.ceil(bandRateHz / MOST_PART_RATE_HZ);
  const passHz = (PASS * bandRateHz) / decimation;
  const most = bandRateHz / 2 - passHz;
  const offsets = centerHz === null ? [] : downlinksHz.map((hz) => hz - centerHz);
  const inBand = offsets.filter((offset) => Math.abs(offset) < bandRateHz / 2);
  const covered = (middle: number): number => inBand.filter((offset) => Math.abs(offset - middle) < passHz / 2).length;
  const middles = inBand.map((offset) => Math.max(-most, Math.min(most, offset)));
  const offsetHz = middles.reduce((best, each) => (covered(each) > covered(best) ? each : best), middles[0] ?? 0);
  return { offsetHz, decimation, passHz };
}

/** Takes the part of a band out of it: what stood at its middle stands at zero. The same samples in other blocks give the same. */
export class BandNarrower {
  readonly #narrowing: Narrowing;
  readonly #bandRateHz: number;
  readonly #taps: Float64Array;
  /** Samples that the filter looks ahead and back, a whole number of outputs. */
  readonly #lead: number;
  readonly #inPhase: Float32Array;
  readonly #quadrature: Float32Array;
  readonly #parts: readonly Float64Array[];
  readonly #re = new Float32Array(OUTPUTS);
  readonly #im = new Float32Array(OUTPUTS);
  /** Number of the sample that the next output stands for. */
  #next: number;
  /** Silence stands before the first sample. */
  #filled: number;

  /** @param firstFrame number of the first sample that comes; a multiple of `decimation`. */
  constructor(bandRateHz: number, narrowing: Narrowing, firstFrame: number) {
    const { decimation, passHz } = narrowing;
    this.#narrowing = narrowing;
    this.#bandRateHz = bandRateHz;
    const stopHz = bandRateHz / decimation / 2;
    const count = 2 * Math.ceil(kaiserTapCount(ATTENUATION_DB, (stopHz - passHz) / bandRateHz) / 2) + 1;
    this.#taps = lowPassTaps(count, (passHz + stopHz) / 2 / bandRateHz, kaiserBeta(ATTENUATION_DB));
    this.#lead = decimation * Math.ceil((count - 1) / 2 / decimation);
    this.#inPhase = new Float32Array(2 * this.#lead + OUTPUTS * decimation);
    this.#quadrature = new Float32Array(this.#inPhase.length);
    this.#parts = Array.from({ length: 4 }, () => new Float64Array(2 * (this.#lead / decimation) + OUTPUTS));
    this.#next = firstFrame;
    this.#filled = this.#lead;
  }

  /** Arrays handed to `onPart` are used again. */
  push(re: Float32Array, im: Float32Array, onPart: (re: Float32Array, im: Float32Array) => void): void {
    for (let at = 0; at < re.length; ) {
      const taken = Math.min(this.#inPhase.length - this.#filled, re.length - at);
      this.#inPhase.set(re.subarray(at, at + taken), this.#filled);
      this.#quadrature.set(im.subarray(at, at + taken), this.#filled);
      this.#filled += taken;
      at += taken;
      if (this.#filled === this.#inPhase.length) this.#run(OUTPUTS, onPart);
    }
  }

  /** Gives what is still held. */
  end(onPart: (re: Float32Array, im: Float32Array) => void): void {
    this.#inPhase.fill(0, this.#filled);
    this.#quadrature.fill(0, this.#filled);
    const left = Math.ceil((this.#filled - this.#lead) / this.#narrowing.decimation);
    for (let done = 0; done < left; done += OUTPUTS) this.#run(Math.min(OUTPUTS, left - done), onPart);
  }

  #run(outputs: number, onPart: (re: Float32Array, im: Float32Array) => void): void {
    const { decimation, offsetHz } = this.#narrowing;
    const cycles = (offsetHz * (this.#next - this.#lead)) / this.#bandRateHz;
    const turn = -2 * Math.PI;
    const oscillator = {
      phase: turn * (cycles - Math.floor(cycles)),
      turn: (turn * offsetHz) / this.#bandRateHz,
      twist: 0,
    };
    const [iRe, iIm, qRe, qIm] = this.#parts;
    const kernel = usualKernel();
    kernel.mixDown(this.#inPhase, oscillator, this.#taps, decimation, iRe, iIm);
    kernel.mixDown(this.#quadrature, oscillator, this.#taps, decimation, qRe, qIm);
    const skipped = this.#lead / decimation;
    for (let n = 0; n < outputs; n++) {
      this.#re[n] = iRe[skipped + n] - qIm[skipped + n];
      this.#im[n] = iIm[skipped + n] + qRe[skipped + n];
    }
    onPart(this.#re.subarray(0, outputs), this.#im.subarray(0, outputs));
    const spent = OUTPUTS * decimation;
    this.#inPhase.copyWithin(0, spent).fill(0, this.#inPhase.length - spent);
    this.#quadrature.copyWithin(0, spent).fill(0, this.#quadrature.length - spent);
    this.#filled = Math.max(0, this.#filled - spent);
    this.#next += spent;
  }
}
