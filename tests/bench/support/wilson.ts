/** Normal quantile of 95 % two-sided. */
const Z = 1.959963984540054;

/** Wilson score interval of a proportion at 95 % (Newcombe, Statistics in Medicine 17 (1998) 857, method 3). */
export function wilson(successes: number, trials: number): [low: number, high: number] {
  if (trials === 0) return [0, 1];
  const share = successes / trials;
  const z2 = (Z * Z) / trials;
  const centre = (share + z2 / 2) / (1 + z2);
  const half = (Z / (1 + z2)) * Math.sqrt((share * (1 - share)) / trials + z2 / (4 * trials));
  return [Math.max(0, centre - half), Math.min(1, centre + half)];
}

/** A proportion with its interval, for tables: `0.53 (0.44-0.62)`. */
export function proportion(successes: number, trials: number): string {
  const [low, high] = wilson(successes, trials);
  return `${(successes / Math.max(1, trials)).toFixed(2)} (${low.toFixed(2)}-${high.toFixed(2)})`;
}
