/** Bytes of a complex value of doubles. */
const COMPLEX = 16;

/**
 * Multiplies real samples with an oscillator, (re, im) of its state, of its turn from sample to sample, and of how much
 * that turns itself.
 *
 * @param mixed where the products go, pairs of doubles.
 */
export function mix(
  samples: usize,
  count: i32,
  re: f64,
  im: f64,
  turnRe: f64,
  turnIm: f64,
  twistRe: f64,
  twistIm: f64,
  mixed: usize,
): void {
  for (let i = 0; i < count; i++) {
    const x = <f64>load<f32>(samples + i * 4);
    store<f64>(mixed + i * COMPLEX, x * re);
    store<f64>(mixed + i * COMPLEX, x * im, 8);
    const nextRe = re * turnRe - im * turnIm;
    im = re * turnIm + im * turnRe;
    re = nextRe;
    const nextTurn = turnRe * twistRe - turnIm * twistIm;
    turnIm = turnRe * twistIm + turnIm * twistRe;
    turnRe = nextTurn;
  }
}

/**
 * Filters complex samples, pairs of doubles, and keeps one in `decimation`.
 *
 * @param taps doubles: the centre tap, which meets sample `pairs` first, then those on either side of it.
 */
export function filterComplex(
  mixed: usize,
  taps: usize,
  pairs: i32,
  decimation: i32,
  outputs: i32,
  outRe: usize,
  outIm: usize,
): void {
  let middle = mixed + pairs * COMPLEX;
  for (let n = 0; n < outputs; n++) {
    let even = f64x2.mul(v128.load64_splat(taps), v128.load(middle));
    let odd = f64x2.splat(0);
    let before = middle - COMPLEX;
    let behind = middle + COMPLEX;
    let i = 1;
    for (; i + 1 <= pairs; i += 2) {
      const tap = taps + i * 8;
      even = f64x2.add(even, f64x2.mul(v128.load64_splat(tap), f64x2.add(v128.load(before), v128.load(behind))));
      const farther = f64x2.add(v128.load(before - COMPLEX), v128.load(behind, COMPLEX));
      odd = f64x2.add(odd, f64x2.mul(v128.load64_splat(tap, 8), farther));
      before -= 2 * COMPLEX;
      behind += 2 * COMPLEX;
    }
    if (i <= pairs) {
      const tap = v128.load64_splat(taps + i * 8);
      even = f64x2.add(even, f64x2.mul(tap, f64x2.add(v128.load(before), v128.load(behind))));
    }
    const sum = f64x2.add(even, odd);
    v128.store64_lane(outRe + n * 8, sum, 0);
    v128.store64_lane(outIm + n * 8, sum, 1);
    middle += decimation * COMPLEX;
  }
}
