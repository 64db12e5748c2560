/** Mean of a Poisson count that `count` or fewer would come of in 5 % only: the one-sided upper limit (Garwood, Biometrika 28 (1936) 437). */
export function mostMean(count: number): number {
  let low = count;
  let high = 2 * count + 10;
  while (high - low > 1e-9 * high) {
    const mean = (low + high) / 2;
    if (shareUpTo(count, mean) > 0.05) low = mean;
    else high = mean;
  }
  return high;
}

function shareUpTo(count: number, mean: number): number {
  let term = Math.exp(-mean);
  let sum = term;
  for (let k = 1; k <= count; k++) {
    term *= mean / k;
    sum += term;
  }
  return sum;
}
