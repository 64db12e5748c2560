const FLOAT = 4;

/**
 * Mean of `count` rows of `bins` cells (a multiple of four), each moved by its own number of cells; see `Kernel.boxMeans`.
 *
 * @param rows addresses of the rows, and `shifts` how far each is read beyond its start: there must be cells.
 */
export function boxMean(rows: usize, shifts: usize, count: i32, bins: i32, mean: usize): void {
  const rowCount = f32x4.splat(<f32>count);
  const end = bins * FLOAT;
  for (let at = 0; at < end; at += 16) {
    let sum = f32x4.splat(0);
    for (let j = 0; j < count; j++) {
      const row = <usize>load<u32>(rows + j * 4) + load<i32>(shifts + j * 4) * FLOAT;
      sum = f32x4.add(sum, v128.load(row + at));
    }
    v128.store(mean + at, f32x4.div(sum, rowCount));
  }
}
