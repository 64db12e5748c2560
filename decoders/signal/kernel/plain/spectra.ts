import { createFft, type Fft } from '../../fft.ts';
import type { Frames } from '../kernel.ts';

let fft: Fft | undefined;

/** See `Kernel.framePowers`. Two real frames share one complex transform. */
export function framePowers(
  samples: Float32Array,
  at: number,
  { window, firstBin }: Frames,
  powers: readonly Float32Array[],
): void {
  const size = window.length;
  if (fft?.input.length !== 2 * size) fft = createFft(size);
  for (let i = 0; i < powers.length; i += 2) {
    weigh(samples, at + (i * size) / 2, window, fft.input);
    fft.run();
    takePowers(fft.output, size, firstBin, powers[i], powers[i + 1]);
  }
}

function weigh(samples: Float32Array, at: number, window: Float32Array, pairs: Float64Array): void {
  const hop = window.length / 2;
  for (let i = 0; i < window.length; i++) {
    const weight = window[i];
    pairs[2 * i] = weight * samples[at + i];
    pairs[2 * i + 1] = weight * samples[at + i + hop];
  }
}

/** With the frames as real and imaginary part, F1 = (X[k] + X*[N-k]) / 2 and F2 = (X[k] - X*[N-k]) / 2j. */
function takePowers(
  spectrum: Float64Array,
  size: number,
  firstBin: number,
  first: Float32Array,
  second: Float32Array,
): void {
  for (let k = 0; k < first.length; k++) {
    const at = 2 * (firstBin + k);
    const mirror = 2 * (size - firstBin - k);
    const sumRe = spectrum[at] + spectrum[mirror];
    const sumIm = spectrum[at + 1] + spectrum[mirror + 1];
    const lessRe = spectrum[at] - spectrum[mirror];
    const lessIm = spectrum[at + 1] - spectrum[mirror + 1];
    first[k] = (sumRe * sumRe + lessIm * lessIm) / 4;
    second[k] = (sumIm * sumIm + lessRe * lessRe) / 4;
  }
}
