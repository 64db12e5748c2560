/** Median time from slot to slot; NaN where there are fewer than two. */
export function slotSeconds(startSeconds: Float64Array, count: number): number {
  const steps = Array.from({ length: Math.max(0, count - 1) }, (_, i) => startSeconds[i + 1] - startSeconds[i]);
  return steps.sort((a, b) => a - b)[steps.length >> 1] ?? Number.NaN;
}
