import FFT from 'fft.js';

/**
 * A discrete Fourier transform of fixed length, X[k] = sum x[n] exp(-2 pi i k n / size), no scaling. The arrays belong
 * to the transform and are used again: fill `input`, run, read `output`. Pairs of (real, imaginary) throughout.
 */
export interface Fft {
  readonly input: Float64Array;
  readonly output: Float64Array;
  run(): void;
}

/** @param size a power of two, 2 or more. */
export function createFft(size: number): Fft {
  const transform = new FFT(size);
  const input = new Float64Array(2 * size);
  const output = new Float64Array(2 * size);
  return { input, output, run: () => transform.transform(output, input) };
}
