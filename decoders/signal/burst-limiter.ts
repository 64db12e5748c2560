const FRAME_SECONDS = 0.02;
/** A frame may have so many times the burst's median power. */
const MOST_POWER = 3;

let copy = new Float32Array(0);

/**
 * Turns down what is much louder than the burst (a voice before or after it), frame by frame, so that it neither spoils
 * the noise estimate nor passes for signal. Returns the samples themselves where nothing is louder, else a copy, which
 * holds until the next is made.
 */
export function limitLoud(
  samples: Float32Array,
  sampleRateHz: number,
  burstFrom: number,
  burstTo: number,
): Float32Array {
  const frame = Math.max(1, Math.round(FRAME_SECONDS * sampleRateHz));
  const count = Math.ceil(samples.length / frame);
  const powers = new Float64Array(count);
  for (let f = 0; f < count; f++) {
    const to = Math.min(samples.length, (f + 1) * frame);
    let sum = 0;
    for (let i = f * frame; i < to; i++) sum += samples[i] * samples[i];
    powers[f] = sum / (to - f * frame);
  }
  const first = Math.max(0, Math.floor(burstFrom / frame));
  const last = Math.min(count, Math.max(first + 1, Math.ceil(burstTo / frame)));
  const inBurst = powers.slice(first, last).sort();
  const ceiling = MOST_POWER * inBurst[inBurst.length >> 1];
  if (powers.every((power) => power <= ceiling)) return samples;
  if (copy.length < samples.length) copy = new Float32Array(samples.length);
  const out = copy.subarray(0, samples.length);
  out.set(samples);
  for (let f = 0; f < count; f++) {
    if (powers[f] <= ceiling) continue;
    const gain = Math.sqrt(ceiling / powers[f]);
    const to = Math.min(samples.length, (f + 1) * frame);
    for (let i = f * frame; i < to; i++) out[i] *= gain;
  }
  return out;
}
