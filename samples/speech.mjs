/**
 * A voice that says nothing: pulses of a throat through the formants of vowels (averages of Peterson and Barney, 1952),
 * with hissing consonants between. Seeded, so the samples can be made again.
 *
 * @param {number} seconds
 * @param {number} sampleRateHz
 * @param {{ uniform(low?: number, high?: number): number, pick<T>(choices: readonly T[]): T, gaussian(): number }} random
 * @returns {Float32Array} about -1..1.
 */
export function babble(seconds, sampleRateHz, random) {
  const samples = new Float32Array(Math.round(seconds * sampleRateHz));
  let at = 0;
  while (at < samples.length) {
    at += Math.round(random.uniform(0.02, 0.12) * sampleRateHz);
    at = hiss(samples, at, random.uniform(0.03, 0.09) * sampleRateHz, random);
    at = vowel(samples, at, random.uniform(0.09, 0.28) * sampleRateHz, sampleRateHz, random);
    if (random.uniform() < 0.15) at += Math.round(random.uniform(0.2, 0.5) * sampleRateHz);
  }
  return samples;
}

const vowels = [
  [730, 1090, 2440],
  [270, 2290, 3010],
  [530, 1840, 2480],
  [570, 840, 2410],
  [300, 870, 2240],
];

function vowel(samples, from, length, sampleRateHz, random) {
  const formants = random.pick(vowels).map((hz, i) => resonator(hz, 60 + 40 * i, sampleRateHz));
  const pitch = random.uniform(95, 150);
  const to = Math.min(samples.length, from + Math.round(length));
  let phase = 0;
  for (let i = from; i < to; i++) {
    const through = (i - from) / length;
    phase += (pitch * (1 - 0.15 * through)) / sampleRateHz;
    const pulse = phase >= 1 ? 1 : 0;
    if (phase >= 1) phase -= 1;
    samples[i] += Math.sin(Math.PI * through) * formants.reduce((sum, step, k) => sum + step(pulse) / (1 + k), 0);
  }
  return to;
}

function hiss(samples, from, length, random) {
  const to = Math.min(samples.length, from + Math.round(length));
  for (let i = from; i < to; i++) samples[i] += 0.06 * random.gaussian();
  return to;
}

function resonator(hz, bandwidthHz, sampleRateHz) {
  const radius = Math.exp((-Math.PI * bandwidthHz) / sampleRateHz);
  const turn = 2 * radius * Math.cos((2 * Math.PI * hz) / sampleRateHz);
  let [last, beforeLast] = [0, 0];
  return (input) => {
    const output = input + turn * last - radius * radius * beforeLast;
    beforeLast = last;
    last = output;
    return output * 0.3;
  };
}
