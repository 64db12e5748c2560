import type { CellRows } from '../kernel.ts';

/** See `Kernel.boxMeans`. */
export function boxMean(
  { cells, count, margin }: CellRows,
  first: number,
  shear: Int32Array,
  mean: Float32Array,
): void {
  const stride = mean.length + 2 * margin;
  mean.fill(0);
  for (let j = 0; j < shear.length; j++) {
    const row = (((first + j) % count) + count) % count;
    addRow(cells, row * stride + margin + shear[j], mean);
  }
  for (let k = 0; k < mean.length; k++) mean[k] /= shear.length;
}

function addRow(cells: Float32Array, at: number, sums: Float32Array): void {
  for (let k = 0; k < sums.length; k++) sums[k] += cells[at + k];
}
