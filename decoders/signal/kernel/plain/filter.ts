import type { SymmetricFilter } from '../kernel.ts';

/** Pairs of taps that are taken at once. */
const GROUP = 8;

let partial = new Float32Array(0);

/** See `Kernel.filterDown`. */
export function filterDown(
  { factor, middle, centreTap, half, step }: SymmetricFilter,
  samples: Float32Array,
  outputs: number,
  output: Float32Array,
): void {
  filterPairs(samples, middle, factor, half, 0, step, centreTap, output, outputs);
  if (half.length > GROUP && partial.length < outputs) partial = new Float32Array(outputs);
  for (let group = GROUP; group < half.length; group += GROUP) {
    filterPairs(samples, middle, factor, half, group, step, 0, partial, outputs);
    add(output, partial, outputs);
  }
}

/**
 * The centre tap and eight pairs of taps mirrored about it, from pair `first` on. Written out because the loop over taps
 * costs three times as much as the taps.
 */
function filterPairs(
  x: Float32Array,
  middle: number,
  factor: number,
  half: Float32Array,
  first: number,
  step: number,
  centreTap: number,
  output: Float32Array,
  outputs: number,
): void {
  const h0 = half[first];
  const h1 = half[first + 1];
  const h2 = half[first + 2];
  const h3 = half[first + 3];
  const h4 = half[first + 4];
  const h5 = half[first + 5];
  const h6 = half[first + 6];
  const h7 = half[first + 7];
  const d0 = 1 + first * step;
  const d1 = d0 + step;
  const d2 = d1 + step;
  const d3 = d2 + step;
  const d4 = d3 + step;
  const d5 = d4 + step;
  const d6 = d5 + step;
  const d7 = d6 + step;
  let m = middle;
  for (let n = 0; n < outputs; n++) {
    output[n] =
      centreTap * x[m] +
      h0 * (x[m - d0] + x[m + d0]) +
      h1 * (x[m - d1] + x[m + d1]) +
      h2 * (x[m - d2] + x[m + d2]) +
      h3 * (x[m - d3] + x[m + d3]) +
      h4 * (x[m - d4] + x[m + d4]) +
      h5 * (x[m - d5] + x[m + d5]) +
      h6 * (x[m - d6] + x[m + d6]) +
      h7 * (x[m - d7] + x[m + d7]);
    m += factor;
  }
}

function add(sum: Float32Array, part: Float32Array, count: number): void {
  for (let n = 0; n < count; n++) sum[n] += part[n];
}
