/** Share of the root mean square beyond which samples are held: of 0.4 to 2, what gives discriminator audio most. */
const CLIP_OVER_RMS = 0.6;
/** Kurtosis beside that of tones in white noise by this is no chance, in ten seconds of samples. */
const LEAST_EXCESS = 0.1;

/**
 * A burst's samples held within what most of them reach. Below its threshold an FM receiver gives clicks of one turn (S. O.
 * Rice, Noise in FM receivers, 1963), whose height says nothing, and the tones between them are all the clearer for it. Null where
 * the samples are what tones in white noise would be, which lose by it.
 *
 * @param amplitude of the tones; `from` and `to` bound the burst.
 */
export function withoutClicks(samples: Float32Array, amplitude: number, from: number, to: number): Float32Array | null {
  const count = to - from;
  let mean = 0;
  for (let i = from; i < to; i++) mean += samples[i] / count;
  let power = 0;
  let fourth = 0;
  for (let i = from; i < to; i++) {
    const square = (samples[i] - mean) ** 2;
    power += square / count;
    fourth += (square * square) / count;
  }
  if (!(power > 0)) return null;
  // Of a tone in Gaussian noise: fourth cumulants add, and that of a sine of power s is -1.5 s^2.
  const share = Math.min(1, (amplitude * amplitude) / 2 / power);
  if (Math.abs(fourth / (power * power) - (3 - 1.5 * share * share)) < LEAST_EXCESS) return null;
  const most = CLIP_OVER_RMS * Math.sqrt(power);
  return samples.map((sample) => mean + Math.max(-most, Math.min(most, sample - mean)));
}
