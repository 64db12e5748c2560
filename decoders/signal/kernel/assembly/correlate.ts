/** Bytes of a complex value of doubles, and of one float. */
const COMPLEX = 16;
const FLOAT = 4;

/**
 * Correlates samples with one tone, slot by slot; see `Kernel.correlateTones`. The tone's frequency holds for `group` slots.
 *
 * @param turns (cos, sin) of the tone's turn from sample to sample, a pair of doubles for each group.
 * @param exact room for the tone itself, as pairs of doubles, and `re` and `im` for the same as floats: a slot and two more.
 * @param sumRe where the sums go, doubles.
 */
export function correlateTone(
  samples: usize,
  slotSamples: f64,
  count: i32,
  group: i32,
  turns: usize,
  exact: usize,
  re: usize,
  im: usize,
  sumRe: usize,
  sumIm: usize,
): void {
  const tableLength = <i32>Math.ceil(slotSamples) + 1;
  let turnRe: f64 = 1;
  let turnIm: f64 = 0;
  let known: f64 = NaN;
  let from: i32 = 0;
  for (let first = 0; first < count; first += group, turns += COMPLEX) {
    const c = load<f64>(turns);
    const s = load<f64>(turns, 8);
    // Below half the sampling rate the cosine says it all.
    if (c !== known) fillTone(c, s, tableLength, exact, re, im);
    known = c;
    const last = min(count, first + group);
    for (let n = first; n < last; n++) {
      const to = <i32>Math.floor(<f64>(n + 1) * slotSamples + 0.5);
      const length = to - from;
      const sum = correlateSlot(samples + from * FLOAT, re, im, length);
      const r = <f64>f32x4.extract_lane(sum, 0);
      const i = <f64>f32x4.extract_lane(sum, 1);
      store<f64>(sumRe + n * 8, r * turnRe - i * turnIm);
      store<f64>(sumIm + n * 8, r * turnIm + i * turnRe);
      const onRe = load<f64>(exact + length * COMPLEX);
      const onIm = load<f64>(exact + length * COMPLEX, 8);
      const next = turnRe * onRe - turnIm * onIm;
      turnIm = turnRe * onIm + turnIm * onRe;
      turnRe = next;
      from = to;
    }
  }
}

/** Real and imaginary part of one slot's sum in the first two lanes. */
function correlateSlot(samples: usize, re: usize, im: usize, length: i32): v128 {
  // Two of each, so that one sum need not wait for the other.
  let evenRe = f32x4.splat(0);
  let evenIm = f32x4.splat(0);
  let oddRe = f32x4.splat(0);
  let oddIm = f32x4.splat(0);
  const end = samples + length * FLOAT;
  while (samples + 32 <= end) {
    const even = v128.load(samples);
    const odd = v128.load(samples, 16);
    evenRe = f32x4.add(evenRe, f32x4.mul(even, v128.load(re)));
    evenIm = f32x4.add(evenIm, f32x4.mul(even, v128.load(im)));
    oddRe = f32x4.add(oddRe, f32x4.mul(odd, v128.load(re, 16)));
    oddIm = f32x4.add(oddIm, f32x4.mul(odd, v128.load(im, 16)));
    samples += 32;
    re += 32;
    im += 32;
  }
  let sumRe = f32x4.add(evenRe, oddRe);
  let sumIm = f32x4.add(evenIm, oddIm);
  if (samples + 16 <= end) {
    const x = v128.load(samples);
    sumRe = f32x4.add(sumRe, f32x4.mul(x, v128.load(re)));
    sumIm = f32x4.add(sumIm, f32x4.mul(x, v128.load(im)));
    samples += 16;
    re += 16;
    im += 16;
  }
  // (re0 + re2, im0 + im2, re1 + re3, im1 + im3), then the halves together.
  const half = f32x4.add(v128.shuffle<f32>(sumRe, sumIm, 0, 4, 1, 5), v128.shuffle<f32>(sumRe, sumIm, 2, 6, 3, 7));
  let sum = f32x4.add(half, v128.shuffle<f32>(half, half, 2, 3, 2, 3));
  while (samples < end) {
    const tone = v128.load32_lane(im, v128.load32_zero(re), 1);
    sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(samples), tone));
    samples += FLOAT;
    re += FLOAT;
    im += FLOAT;
  }
  return sum;
}

/** e^(-j step i) for i = 0..length, given cos and sin of the step: what is there, turned on by its own length. */
function fillTone(c: f64, s: f64, length: i32, exact: usize, re: usize, im: usize): void {
  store<f64>(exact, 1);
  store<f64>(exact, 0, 8);
  store<f32>(re, 1);
  store<f32>(im, 0);
  let wRe = c;
  let wIm = -s;
  for (let filled = 1; filled <= length; filled *= 2) {
    const real = f64x2.splat(wRe);
    const imaginary = f64x2.replace_lane(f64x2.splat(wIm), 0, -wIm);
    const ahead = filled * COMPLEX;
    const end = min(filled, length + 1 - filled);
    for (let i = 0; i < end; i++) {
      const at = exact + i * COMPLEX;
      const t = v128.load(at);
      const turned = f64x2.add(f64x2.mul(t, real), f64x2.mul(v128.shuffle<f64>(t, t, 1, 0), imaginary));
      v128.store(at + ahead, turned);
      const single = f32x4.demote_f64x2_zero(turned);
      v128.store32_lane(re + (filled + i) * FLOAT, single, 0);
      v128.store32_lane(im + (filled + i) * FLOAT, single, 1);
    }
    const square = wRe * wRe - wIm * wIm;
    wIm = 2 * wRe * wIm;
    wRe = square;
  }
}
