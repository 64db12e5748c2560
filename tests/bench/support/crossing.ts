/**
 * Level at which a share is reached that rises with the level: shares are first made monotone (pool adjacent violators, Ayer
 * et al., Ann. Math. Stat. 26 (1955) 641), then joined by straight lines. Null outside of the levels.
 */
export function crossing(levels: readonly number[], shares: readonly number[], share: number): number | null {
  const rising = monotone(shares);
  if (!(rising[0] < share)) return null;
  for (let i = 1; i < levels.length; i++) {
    if (rising[i] < share) continue;
    const part = (share - rising[i - 1]) / (rising[i] - rising[i - 1]);
    return levels[i - 1] + part * (levels[i] - levels[i - 1]);
  }
  return null;
}

function monotone(shares: readonly number[]): number[] {
  const pools: { sum: number; count: number }[] = [];
  for (const share of shares) {
    let pool = { sum: share, count: 1 };
    for (let last = pools.at(-1); last && last.sum / last.count > pool.sum / pool.count; last = pools.at(-1)) {
      pool = { sum: last.sum + pool.sum, count: last.count + pool.count };
      pools.pop();
    }
    pools.push(pool);
  }
  return pools.flatMap(({ sum, count }) => Array.from({ length: count }, () => sum / count));
}
