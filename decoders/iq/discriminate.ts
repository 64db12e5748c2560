/**
 * Frequency from sample to sample over the most that there can be, -0.5..0.5: what stands at zero is an FM carrier. What
 * lies beyond is a click and is clipped.
 */
export function discriminate(re: Float64Array, im: Float64Array, rateHz: number, mostHz: number): Float32Array {
  const audio = new Float32Array(re.length);
  const gain = rateHz / (2 * Math.PI * mostHz);
  for (let n = 1; n < audio.length; n++) {
    const turn = Math.atan2(im[n] * re[n - 1] - re[n] * im[n - 1], re[n] * re[n - 1] + im[n] * im[n - 1]);
    audio[n] = 0.5 * Math.max(-1, Math.min(1, gain * turn));
  }
  return audio;
}
