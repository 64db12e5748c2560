import type { Random } from '../random.ts';

/** What the mouth does at a moment. */
export interface Articulation {
  /** First three resonances, Hz. */
  readonly formantsHz: readonly [number, number, number];
  /** Strength of the voice, of breath through the whole tract, and of noise at a narrow place, 0..1. */
  readonly voicing: number;
  readonly breath: number;
  readonly frication: number;
  /** Centre of the noise made at the narrow place. */
  readonly fricationHz: number;
}

/** Bandwidths of the formants, Hz: typical values of Klatt, J. Acoust. Soc. Am. 67 (1980). */
const BANDWIDTHS_HZ = [70, 100, 150, 250];
const FOURTH_FORMANT_HZ = 3400;

/** The mouth is set anew so often, and moves towards its target with these time constants. */
const CONTROL_SECONDS = 0.005;
const FORMANT_SECONDS = 0.018;
const STRENGTH_SECONDS = 0.007;

/** Gain before the limiter: brings the stressed vowels just into it. */
const LIMITER_GAIN = 0.5;

/** Voice channels pass nothing below. */
const HIGH_PASS_HZ = 300;

/**
 * Speech by source and filter: glottal pulses and noise through a chain of resonators (Fant, Acoustic Theory of Speech
 * Production; resonators as in Klatt 1980). Good enough to trouble a decoder as speech does: harmonics that glide,
 * envelopes in syllable rhythm, noise bursts; nobody will understand a word.
 */
export class VocalTract {
  readonly #rate: number;
  readonly #random: Random;
  readonly #chain: readonly Resonator[];
  readonly #narrow = new Resonator();
  readonly #highPass: HighPass;

  /** The formants, voicing, breath, frication and place of noise: where they are now. */
  readonly #now = Float64Array.of(500, 1500, 2500, 0, 0, 0, 2500);
  #target: Articulation = SILENT;
  #pitchHz = 100;
  #phase = 0;
  #controlLeft = 0;

  constructor(sampleRateHz: number, random: Random) {
    this.#rate = sampleRateHz;
    this.#random = random;
    const count = FOURTH_FORMANT_HZ < 0.45 * sampleRateHz ? 4 : 3;
    this.#chain = Array.from({ length: count }, () => new Resonator());
    this.#highPass = new HighPass(HIGH_PASS_HZ, sampleRateHz);
  }

  /** Sets where mouth and pitch go from now on. */
  aim(target: Articulation, pitchHz: number): void {
    this.#target = target;
    this.#pitchHz = pitchHz;
  }

  /** Adds `count` samples to `piece` from `at` on; their peaks stay below `limit`, as a transmitter's limiter keeps them. */
  addTo(piece: Float32Array, at: number, count: number, limit: number): void {
    const step = Math.max(1, Math.round(CONTROL_SECONDS * this.#rate));
    for (let i = 0; i < count; ) {
      if (this.#controlLeft === 0) {
        this.#move();
        this.#controlLeft = step;
      }
      const run = Math.min(this.#controlLeft, count - i);
      this.#sound(piece, at + i, run, limit);
      this.#controlLeft -= run;
      i += run;
    }
  }

  #move(): void {
    const now = this.#now;
    const { formantsHz, voicing, breath, frication, fricationHz } = this.#target;
    const aims = [...formantsHz, voicing, breath, frication];
    for (let k = 0; k < 6; k++) {
      now[k] += (aims[k] - now[k]) * (1 - Math.exp(-CONTROL_SECONDS / (k < 3 ? FORMANT_SECONDS : STRENGTH_SECONDS)));
    }
    now[6] = fricationHz;
    for (let k = 0; k < this.#chain.length; k++) {
      this.#chain[k].tune(k < 3 ? now[k] : FOURTH_FORMANT_HZ, BANDWIDTHS_HZ[k], this.#rate);
    }
    this.#narrow.tune(Math.min(now[6], 0.45 * this.#rate), 0.4 * now[6], this.#rate);
  }

  #sound(piece: Float32Array, at: number, count: number, limit: number): void {
    const [, , , voicing, breath, frication] = this.#now;
    const advance = this.#pitchHz / this.#rate;
    let phase = this.#phase;
    for (let i = 0; i < count; i++) {
      phase += advance;
      if (phase >= 1) {
        // Every period is a little longer or shorter than the last (jitter, about 1 %).
        phase -= 1 + 0.01 * this.#random.gaussian();
        if (phase < 0) phase = 0;
      }
      const noise = this.#random.gaussian();
      // Breath flows while the glottis is open.
      let y = voicing * GLOTTIS[(phase * GLOTTIS.length) & (GLOTTIS.length - 1)] + 0.15 * breath * noise;
      for (const resonator of this.#chain) y = resonator.next(y);
      y += 0.1 * frication * this.#narrow.next(noise);
      const u = LIMITER_GAIN * this.#highPass.next(y);
      piece[at + i] += (limit * u) / Math.sqrt(1 + u * u);
    }
    this.#phase = phase;
  }
}

export const SILENT: Articulation = {
  formantsHz: [500, 1500, 2500],
  voicing: 0,
  breath: 0,
  frication: 0,
  fricationHz: 2500,
};

/**
 * One period of the change of flow through the glottis: the derivative of Rosenberg's pulse (J. Acoust. Soc. Am. 49,
 * 1971), opening for 0.4 of the period, closing in 0.16. Its length is a power of two.
 */
const GLOTTIS = Float64Array.from({ length: 1024 }, (_, i) => {
  const phase = i / 1024;
  if (phase < 0.4) return Math.sin((Math.PI * phase) / 0.4) / 0.8;
  if (phase < 0.56) return -Math.sin((Math.PI * (phase - 0.4)) / 0.32) / 0.32;
  return 0;
});

/** y = a x + b y1 + c y2, gain 1 at zero frequency (Klatt 1980). */
class Resonator {
  #a = 1;
  #b = 0;
  #c = 0;
  #y1 = 0;
  #y2 = 0;

  tune(hz: number, bandwidthHz: number, sampleRateHz: number): void {
    const r = Math.exp((-Math.PI * bandwidthHz) / sampleRateHz);
    this.#c = -r * r;
    this.#b = 2 * r * Math.cos((2 * Math.PI * hz) / sampleRateHz);
    this.#a = 1 - this.#b - this.#c;
  }

  next(x: number): number {
    const y = this.#a * x + this.#b * this.#y1 + this.#c * this.#y2;
    this.#y2 = this.#y1;
    this.#y1 = y;
    return y;
  }
}

/** First order, twice. */
class HighPass {
  readonly #keep: number;
  #x1 = 0;
  #y1 = 0;
  #y2 = 0;

  constructor(hz: number, sampleRateHz: number) {
    this.#keep = Math.exp((-2 * Math.PI * hz) / sampleRateHz);
  }

  next(x: number): number {
    const y = this.#keep * (this.#y1 + x - this.#x1);
    const z = this.#keep * (this.#y2 + y - this.#y1);
    this.#x1 = x;
    this.#y1 = y;
    this.#y2 = z;
    return z;
  }
}
