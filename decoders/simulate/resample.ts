import { ensure } from './ensure.ts';

/** Half length of the filter, in samples of the lower rate, and steps of its table a sample. */
const HALF = 16;
const STEPS = 256;

/**
 * The same sound at another rate: a windowed sinc at each new sample, cut off at 0.92 of the lower Nyquist frequency
 * (Hann window, 32 samples of the lower rate; Oppenheim and Schafer, Discrete-Time Signal Processing, ch. 4). For sounds
 * that are mixed in; whole arrays.
 */
export function resample(samples: Float32Array, fromHz: number, toHz: number): Float32Array {
  ensure(fromHz > 0 && toHz > 0, 'bad-rate', `${fromHz} to ${toHz} samples a second cannot be; both must be positive`);
  if (fromHz === toHz) return samples;
  // The filter is written in input samples: stretched when the new rate is the lower one.
  const stretch = Math.max(1, fromHz / toHz);
  const half = HALF * stretch;
  const cutoff = 0.92 / stretch;
  const table = Float64Array.from({ length: Math.ceil(half * STEPS) + 2 }, (_, i) => {
    const x = i / STEPS;
    if (x >= half) return 0;
    const window = 0.5 + 0.5 * Math.cos((Math.PI * x) / half);
    return window * cutoff * (x === 0 ? 1 : Math.sin(Math.PI * cutoff * x) / (Math.PI * cutoff * x));
  });
  const out = new Float32Array(Math.floor((samples.length * toHz) / fromHz));
  for (let n = 0; n < out.length; n++) {
    const centre = (n * fromHz) / toHz;
    const first = Math.max(0, Math.ceil(centre - half));
    const last = Math.min(samples.length - 1, Math.floor(centre + half));
    let sum = 0;
    for (let k = first; k <= last; k++) {
      const place = Math.abs(k - centre) * STEPS;
      const index = Math.floor(place);
      sum += samples[k] * (table[index] + (place - index) * (table[index + 1] - table[index]));
    }
    out[n] = sum;
  }
  return out;
}
