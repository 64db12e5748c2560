import type { Oscillator } from '../kernel.ts';
import { oscillatorAt, RENEW_SAMPLES } from '../oscillator.ts';

/** See `Kernel.mixDown`. */
export function mixDown(
  samples: Float32Array,
  oscillator: Oscillator,
  taps: Float64Array,
  decimation: number,
  re: Float64Array,
  im: Float64Array,
): void {
  const mixed = mix(samples, oscillator);
  filterDown(mixed.re, taps, decimation, re);
  filterDown(mixed.im, taps, decimation, im);
}

function mix(samples: Float32Array, oscillator: Oscillator): { re: Float64Array; im: Float64Array } {
  const n = samples.length;
  const re = new Float64Array(n);
  const im = new Float64Array(n);
  for (let from = 0; from < n; from += RENEW_SAMPLES) {
    const { phase, turn } = oscillatorAt(oscillator, from);
    const to = Math.min(n, from + RENEW_SAMPLES);
    mixStretch(samples, from, to, phase, turn, oscillator.twist, re, im);
  }
  return { re, im };
}

function mixStretch(
  samples: Float32Array,
  from: number,
  to: number,
  phase: number,
  turn: number,
  twist: number,
  re: Float64Array,
  im: Float64Array,
): void {
  // A rotator turned by a rotator.
  let cRe = Math.cos(phase);
  let cIm = Math.sin(phase);
  let wRe = Math.cos(turn);
  let wIm = Math.sin(turn);
  const twistRe = Math.cos(twist);
  const twistIm = Math.sin(twist);
  for (let i = from; i < to; i++) {
    const x = samples[i];
    re[i] = x * cRe;
    im[i] = x * cIm;
    const nextRe = cRe * wRe - cIm * wIm;
    cIm = cRe * wIm + cIm * wRe;
    cRe = nextRe;
    const nextTurn = wRe * twistRe - wIm * twistIm;
    wIm = wRe * twistIm + wIm * twistRe;
    wRe = nextTurn;
  }
}

function filterDown(x: Float64Array, taps: Float64Array, decimation: number, out: Float64Array): void {
  const n = x.length;
  const length = taps.length;
  const half = (length - 1) >> 1;
  for (let o = 0; o < out.length; o++) {
    const first = o * decimation - half;
    const from = first < 0 ? -first : 0;
    const to = first + length > n ? n - first : length;
    let sum = 0;
    for (let k = from; k < to; k++) sum += taps[k] * x[first + k];
    out[o] = sum;
  }
}
