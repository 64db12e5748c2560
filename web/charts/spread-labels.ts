/**
 * Moves labels apart that would print over each other, keeping their order and staying near where they belong.
 * @param wanted where each label would stand, pixels from the top
 * @param apart least distance of two labels, pixels
 * @returns where each may stand, in the order given
 */
export function spreadLabels(wanted: readonly number[], apart: number, top: number, bottom: number): number[] {
  const order = wanted.map((_, i) => i).sort((a, b) => (wanted[a] ?? 0) - (wanted[b] ?? 0));
  const placed = new Array<number>(wanted.length).fill(0);
  let free = top;
  for (const i of order) {
    placed[i] = Math.max(free, wanted[i] ?? 0);
    free = placed[i] + apart;
  }
  let ceiling = bottom;
  for (const i of order.toReversed()) {
    placed[i] = Math.min(placed[i] ?? 0, ceiling);
    ceiling = placed[i] - apart;
  }
  return placed;
}
