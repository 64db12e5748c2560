const STEP = 0.01;
const TABLE_END = 60;
const TABLE = new Float64Array(TABLE_END / STEP + 2);
for (let i = 0; i < TABLE.length; i++) TABLE[i] = lnI0Series(i * STEP);

/** Power series of I0 (Abramowitz and Stegun 9.6.12), summed until a term no longer counts. */
function lnI0Series(x: number): number {
  const quarter = (x * x) / 4;
  let term = 1;
  let sum = 1;
  for (let k = 1; term > sum * 1e-17; k++) {
    term *= quarter / (k * k);
    sum += term;
  }
  return Math.log(sum);
}

/**
 * Natural logarithm of the modified Bessel function I0(x), x >= 0. Table with straight lines between up to 60 (error
 * below 2e-5), above that the first two terms of the asymptotic series x - ln(2 pi x)/2 + ln(1 + 1/8x) (Abramowitz and
 * Stegun 9.7.1; error below 3e-5).
 */
export function lnI0(x: number): number {
  if (x >= TABLE_END) return x - 0.5 * Math.log(2 * Math.PI * x) + 1 / (8 * x);
  const at = x / STEP;
  const i = at | 0;
  const low = TABLE[i];
  return low + (at - i) * (TABLE[i + 1] - low);
}
