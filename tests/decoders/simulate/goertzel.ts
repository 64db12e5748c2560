/** Power of the tone `hz` in samples `from`..`to`: amplitude^2 / 2 for a sine that fills them (Goertzel 1958). */
export function tonePower(samples: Float32Array, hz: number, rate: number, from = 0, to = samples.length): number {
  const coefficient = 2 * Math.cos((2 * Math.PI * hz) / rate);
  let s1 = 0;
  let s2 = 0;
  for (let n = from; n < to; n++) {
    const s0 = samples[n] + coefficient * s1 - s2;
    s2 = s1;
    s1 = s0;
  }
  return (2 * (s1 * s1 + s2 * s2 - coefficient * s1 * s2)) / (to - from) ** 2;
}
