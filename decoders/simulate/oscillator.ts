/**
 * A sine whose frequency and amplitude may be set at any sample: a turning phasor, one complex multiplication a sample
 * instead of a sine.
 */
export class Oscillator {
  readonly #sampleRateHz: number;
  #re: number;
  #im: number;
  #stepRe = 1;
  #stepIm = 0;

  constructor(sampleRateHz: number, hz: number, phaseRadians = 0) {
    this.#sampleRateHz = sampleRateHz;
    this.#re = Math.cos(phaseRadians);
    this.#im = Math.sin(phaseRadians);
    this.setHz(hz);
  }

  setHz(hz: number): void {
    const angle = (2 * Math.PI * hz) / this.#sampleRateHz;
    this.#stepRe = Math.cos(angle);
    this.#stepIm = Math.sin(angle);
  }

  /** Adds `count` samples to `block` from `at` on, their amplitude going in a straight line from `first` to `last`. */
  addTo(block: Float32Array, at: number, count: number, first: number, last = first): void {
    let re = this.#re;
    let im = this.#im;
    const stepRe = this.#stepRe;
    const stepIm = this.#stepIm;
    const slope = (last - first) / count;
    for (let i = 0; i < count; i++) {
      block[at + i] += (first + slope * i) * im;
      const turned = re * stepRe - im * stepIm;
      im = re * stepIm + im * stepRe;
      re = turned;
    }
    // Keeps the phasor on the unit circle against rounding.
    const length = Math.sqrt(re * re + im * im);
    this.#re = re / length;
    this.#im = im / length;
  }
}
