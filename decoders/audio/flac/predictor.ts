import type { BitReader } from './bit-reader.ts';

/** How the samples of a subframe follow from those before them (RFC 9639 sections 9.2.5 and 9.2.6). */
export interface Predictor {
  /** What the sample before counts, the one before that, and so on. */
  readonly coefficients: Int32Array;
  /** The sum is shifted right by so many bits. */
  readonly shift: number;
}

/** Predictors of fixed order 0 to 4: the polynomial through the last samples. */
export const FIXED: readonly Predictor[] = [[], [1], [2, -1], [3, -3, 1], [4, -6, 4, -1]].map((coefficients) => ({
  coefficients: Int32Array.from(coefficients),
  shift: 0,
}));

/** The coefficients that stand behind the warm-up samples of a linear predictor; null when they cannot be. */
export function readPredictor(reader: BitReader, order: number): Predictor | null {
  const precision = reader.unsigned(4) + 1;
  const shift = reader.signed(5);
  if (precision === 16 || shift < 0) return null;
  const coefficients = new Int32Array(order);
  for (let i = 0; i < order; i++) coefficients[i] = reader.signed(precision);
  return { coefficients, shift };
}

/**
 * Replaces the residual in `samples`, from behind the warm-up samples up to `blockSize`, by the samples themselves.
 *
 * @param bits of the largest sample: decides whether sums of products fit 32 bits, which is faster.
 */
export function restore(
  samples: Int32Array,
  blockSize: number,
  { coefficients, shift }: Predictor,
  bits: number,
): void {
  const order = coefficients.length;
  if (order === 0) return;
  if (sumOfMagnitudes(coefficients) * 2 ** (bits - 1) < 2 ** 31) {
    restoreNarrow(samples, blockSize, coefficients, shift);
  } else {
    restoreBroad(samples, blockSize, Float64Array.from(coefficients), 2 ** -shift);
  }
}

function sumOfMagnitudes(coefficients: Int32Array): number {
  return coefficients.reduce((sum, x) => sum + Math.abs(x), 0);
}

function restoreNarrow(x: Int32Array, blockSize: number, coefficients: Int32Array, shift: number): void {
  const order = coefficients.length;
  for (let i = order; i < blockSize; i++) {
    let sum = 0;
    for (let j = 0, k = i - 1; j < order; j++, k--) sum = (sum + Math.imul(coefficients[j], x[k])) | 0;
    x[i] += sum >> shift;
  }
}

/** Products of 33 and 15 bits, 32 of them, stay below 2^53: doubles add them exactly. */
function restoreBroad(x: Int32Array, blockSize: number, coefficients: Float64Array, scale: number): void {
  const order = coefficients.length;
  for (let i = order; i < blockSize; i++) {
    let sum = 0;
    for (let j = 0, k = i - 1; j < order; j++, k--) sum += coefficients[j] * x[k];
    x[i] += Math.floor(sum * scale);
  }
}

/** `restore` for samples of more than 32 bits: warm-up samples stand in `samples`, the residual apart. */
export function restoreWide(
  samples: Float64Array,
  residual: Int32Array,
  blockSize: number,
  { coefficients, shift }: Predictor,
): void {
  const order = coefficients.length;
  const scale = 2 ** -shift;
  for (let i = order; i < blockSize; i++) {
    let sum = 0;
    for (let j = 0, k = i - 1; j < order; j++, k--) sum += coefficients[j] * samples[k];
    samples[i] = residual[i] + Math.floor(sum * scale);
  }
}
