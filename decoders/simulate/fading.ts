import { ensure } from './ensure.ts';
import type { Gain } from './gain.ts';
import type { Random } from './random.ts';

export interface FadingOptions {
  /**
   * Doppler spread: twice the standard deviation of the Gaussian Doppler spectrum (as in Recommendation ITU-R F.1487, from
   * memory), so that the gain's autocorrelation is exp(-(pi spread lag)^2 / 2). 0.001 to 100 Hz.
   */
  readonly spreadHz: number;
  /** Power of the steady path over that of the scattered ones (Rician fading); none when left out (Rayleigh fading). */
  readonly ricianKDb?: number;
}

/**
 * Knots stand one standard deviation of the kernel apart, this many times 1 / spread: where the kernel's spectrum
 * repeats it has fallen by 170 dB.
 */
const KNOT_SPREADS = Math.SQRT1_2 / Math.PI;
/** From knot to knot; a straight line from step to step is right to about -70 dB. */
const STEPS = 16;
/** Knots that a place between two is made of: five on each side, beyond which the kernel is below 1e-5. */
const TAPS = 10;

/** The kernel at the knots around a place, a row for each step between two knots; each row has the energy one. */
const KERNEL = new Float64Array(STEPS * TAPS);
for (let step = 0; step < STEPS; step++) {
  const row = KERNEL.subarray(step * TAPS, (step + 1) * TAPS);
  for (let k = 0; k < TAPS; k++) row[k] = Math.exp(-0.5 * (k - TAPS / 2 + 1 - step / STEPS) ** 2);
  const length = Math.hypot(...row);
  for (let k = 0; k < TAPS; k++) row[k] /= length;
}

/**
 * The gain of a fading path, without end and of mean power one: complex Gaussian numbers through a filter of Gaussian
 * spectrum, as in the channel model of Watterson, Juroshek and Bensema (IEEE Trans. Commun. Technol. 18, 1970), and
 * beside them a steady path of phase zero. It keeps a few numbers only, and is the same at whatever times it is looked at.
 */
export class Fading implements Gain {
  re = 0;
  im = 0;
  readonly #random: Random;
  readonly #stepSeconds: number;
  /** Amplitude of the steady path, and standard deviation of each part of the scattered ones. */
  readonly #steady: number;
  readonly #scattered: number;
  readonly #knotsRe = new Float64Array(TAPS);
  readonly #knotsIm = new Float64Array(TAPS);
  /** The step that the present line starts from, and the line's two ends. */
  #step = -1;
  #fromRe = 0;
  #fromIm = 0;
  #toRe = 0;
  #toIm = 0;

  /** @throws FiveunitError `bad-fading` for a spread or a K factor out of range. */
  constructor(options: FadingOptions, random: Random) {
    checkFading(options);
    const { spreadHz, ricianKDb } = options;
    const k = ricianKDb === undefined ? 0 : 10 ** (ricianKDb / 10);
    this.#random = random;
    this.#stepSeconds = KNOT_SPREADS / spreadHz / STEPS;
    this.#steady = Math.sqrt(k / (1 + k));
    this.#scattered = Math.sqrt(0.5 / (1 + k));
    for (let i = 0; i < TAPS; i++) this.#drawKnot();
    this.#aim(0);
    this.#nextLine();
    this.moveTo(0);
  }

  moveTo(seconds: number): void {
    const place = seconds / this.#stepSeconds;
    while (place > this.#step + 1) this.#nextLine();
    const share = place - this.#step;
    this.re = this.#fromRe + share * (this.#toRe - this.#fromRe);
    this.im = this.#fromIm + share * (this.#toIm - this.#fromIm);
  }

  #nextLine(): void {
    this.#step++;
    this.#fromRe = this.#toRe;
    this.#fromIm = this.#toIm;
    const row = (this.#step + 1) % STEPS;
    if (row === 0) this.#drawKnot();
    this.#aim(row);
  }

  #drawKnot(): void {
    this.#knotsRe.copyWithin(0, 1);
    this.#knotsIm.copyWithin(0, 1);
    this.#knotsRe[TAPS - 1] = this.#scattered * this.#random.gaussian();
    this.#knotsIm[TAPS - 1] = this.#scattered * this.#random.gaussian();
  }

  /** Puts the far end of the line where the gain is at a step after the middle knot. */
  #aim(row: number): void {
    let re = this.#steady;
    let im = 0;
    for (let k = 0; k < TAPS; k++) {
      const weight = KERNEL[row * TAPS + k];
      re += weight * this.#knotsRe[k];
      im += weight * this.#knotsIm[k];
    }
    this.#toRe = re;
    this.#toIm = im;
  }
}

/** @throws FiveunitError `bad-fading` for a spread or a K factor out of range. */
export function checkFading({ spreadHz, ricianKDb = 0 }: FadingOptions): void {
  const isSpread = spreadHz >= 0.001 && spreadHz <= 100;
  ensure(isSpread, 'bad-fading', `the Doppler spread is ${spreadHz} Hz; it may be 0.001 to 100 Hz`);
  const isFactor = Math.abs(ricianKDb) <= 60;
  ensure(
    isFactor,
    'bad-fading',
    `the Rician K factor is ${ricianKDb} dB; it may be -60 to 60 dB, or left out for none`,
  );
}
