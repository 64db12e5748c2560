import type { AudioBlock, AudioProblem } from './types.ts';

/** Share of samples that stay at the recording's own extremes from which on it is called clipped. */
const CLIPPED_SHARE = 0.15;
/** Below this span (full scale is 2) a few coarse steps look like clipping. */
const CLIPPED_SPAN = 0.25;
/** A handful of samples says nothing about clipping. */
const CLIPPED_SAMPLES = 1000;

/**
 * Watches a whole recording for faults of level: no samples at all (`no-samples`), nothing in them (`silent`), and cut-off
 * peaks (`clipped`).
 *
 * Clipping is seen where it happened, at full scale or below: many samples repeat the one before at the largest or
 * smallest value. (Of a pure tone in 8 bits 8 % may do so; of one of 1300 Hz overdriven by 3 dB, at 8 kHz, 18 % do.)
 */
export class LevelWatch {
  #samples = 0;
  #high = Number.NEGATIVE_INFINITY;
  #low = Number.POSITIVE_INFINITY;
  /** Samples that stand at an extreme as the one before did. */
  #atHigh = 0;
  #atLow = 0;
  #varies = false;

  add(block: AudioBlock): void {
    for (const channel of block.channels) this.#addChannel(channel, block.frames);
  }

  #addChannel(channel: Float32Array, frames: number): void {
    this.#samples += frames;
    if (this.#varies && liesWithin(channel, frames, this.#low, this.#high)) return;
    let high = this.#high;
    let low = this.#low;
    let atHigh = this.#atHigh;
    let atLow = this.#atLow;
    let before = Number.NaN;
    for (let i = 0; i < frames; i++) {
      const x = channel[i];
      if (x > high) {
        high = x;
        atHigh = 0;
      } else if (x === high && x === before) {
        atHigh++;
      }
      if (x < low) {
        low = x;
        atLow = 0;
      } else if (x === low && x === before) {
        atLow++;
      }
      before = x;
    }
    this.#high = high;
    this.#low = low;
    this.#atHigh = atHigh;
    this.#atLow = atLow;
    for (let i = 1; i < frames && !this.#varies; i++) this.#varies = channel[i] !== channel[0];
  }

  /** What is wrong with all that was added. */
  problems(): AudioProblem[] {
    if (this.#samples === 0) {
      const message = 'The recording holds no samples. Was the recorder stopped before it began?';
      return [{ code: 'no-samples', message, atSeconds: null }];
    }
    if (!this.#varies) {
      const message = 'The recording is silent: all samples are alike. Check the cable, the input and the squelch.';
      return [{ code: 'silent', message, atSeconds: null }];
    }
    const share = (this.#atHigh + this.#atLow) / this.#samples;
    const isClipped = share >= CLIPPED_SHARE && this.#high - this.#low >= CLIPPED_SPAN;
    if (!isClipped || this.#samples < CLIPPED_SAMPLES) return [];
    const percent = Math.round(100 * share);
    const message = `The recording is clipped: ${percent} % of the samples stay at the limits. Record at a lower level.`;
    return [{ code: 'clipped', message, atSeconds: null }];
  }
}

/** Whether no sample reaches either extreme: true of most blocks, and quickly told. */
function liesWithin(channel: Float32Array, frames: number, low: number, high: number): boolean {
  for (let i = 0; i < frames; i++) {
    const x = channel[i];
    if (x >= high || x <= low) return false;
  }
  return true;
}
