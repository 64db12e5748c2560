import type { LiveLevel } from './types.ts';

const EVERY_SECONDS = 0.1;

/** How loud a stream of samples is, told ten times a second. */
export class LevelMeter {
  private readonly sampleRateHz: number;
  private readonly every: number;
  private count = 0;
  private taken = 0;
  private power = 0;
  private peak = 0;

  constructor(sampleRateHz: number) {
    this.sampleRateHz = sampleRateHz;
    this.every = Math.round(EVERY_SECONDS * sampleRateHz);
  }

  take(samples: Float32Array, onLevel: (level: LiveLevel) => void): void {
    for (let i = 0; i < samples.length; i++) {
      const sample = samples[i];
      this.power += sample * sample;
      this.peak = Math.max(this.peak, Math.abs(sample));
      if (++this.count === this.every) this.tell(this.taken + i + 1, onLevel);
    }
    this.taken += samples.length;
  }

  private tell(end: number, onLevel: (level: LiveLevel) => void): void {
    const rms = Math.sqrt(this.power / this.every);
    onLevel({ type: 'level', endSeconds: end / this.sampleRateHz, rms, peak: this.peak });
    this.count = 0;
    this.power = 0;
    this.peak = 0;
  }
}
