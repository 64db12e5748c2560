/*
 * Eight frames at once: two of them make the real and the imaginary part of one transform, and four transforms lie side by
 * side in the lanes of a vector. `re` and `im` hold a vector for each sample or bin.
 */

const FLOAT = 4;
const VECTOR = 16;

/**
 * Power in `bins` bins (a multiple of four) from `firstBin` on of eight frames of `size` samples (a power of four), the next
 * beginning half a frame after the last; see `Kernel.framePowers`.
 *
 * @param window `size` floats.
 * @param turns cos and -sin of k whole turns over `size`, k = 0.. `size` - 1, pairs of floats.
 * @param re, im, otherRe, otherIm room for `size` vectors each.
 * @param powers where the frames' powers go, one frame after another.
 */
export function framePowers(
  samples: usize,
  size: i32,
  window: usize,
  turns: usize,
  re: usize,
  im: usize,
  otherRe: usize,
  otherIm: usize,
  firstBin: i32,
  bins: i32,
  powers: usize,
): void {
  weigh(samples, size, window, re);
  weigh(samples + (size / 2) * FLOAT, size, window, im);
  let parts = size;
  for (let stride = 1; stride < size; stride *= 4) {
    transformStage(parts, stride, turns, re, im, otherRe, otherIm);
    parts /= 4;
    const wasRe = re;
    const wasIm = im;
    re = otherRe;
    im = otherIm;
    otherRe = wasRe;
    otherIm = wasIm;
  }
  for (let k = 0; k < bins; k += 4) takePowers(size, firstBin + k, bins, re, im, powers + k * FLOAT);
}

/** Every second frame from `samples` on, weighed, one in each lane. */
function weigh(samples: usize, size: i32, window: usize, out: usize): void {
  const frame = size * FLOAT;
  for (let at = 0; at < frame; at += VECTOR) {
    const weights = v128.load(window + at);
    const a = f32x4.mul(weights, v128.load(samples + at));
    const b = f32x4.mul(weights, v128.load(samples + frame + at));
    const c = f32x4.mul(weights, v128.load(samples + 2 * frame + at));
    const d = f32x4.mul(weights, v128.load(samples + 3 * frame + at));
    storeColumns(a, b, c, d, out + at * 4, VECTOR);
  }
}

/** Four rows of four, written column by column. */
function storeColumns(a: v128, b: v128, c: v128, d: v128, out: usize, stride: usize): void {
  const ab = v128.shuffle<f32>(a, b, 0, 4, 1, 5);
  const cd = v128.shuffle<f32>(c, d, 0, 4, 1, 5);
  v128.store(out, v128.shuffle<f32>(ab, cd, 0, 1, 4, 5));
  v128.store(out + stride, v128.shuffle<f32>(ab, cd, 2, 3, 6, 7));
  const ab2 = v128.shuffle<f32>(a, b, 2, 6, 3, 7);
  const cd2 = v128.shuffle<f32>(c, d, 2, 6, 3, 7);
  v128.store(out + 2 * stride, v128.shuffle<f32>(ab2, cd2, 0, 1, 4, 5));
  v128.store(out + 3 * stride, v128.shuffle<f32>(ab2, cd2, 2, 3, 6, 7));
}

/** One stage of four-way butterflies, in the order that sorts itself (Stockham's). */
function transformStage(parts: i32, stride: i32, turns: usize, re: usize, im: usize, outRe: usize, outIm: usize): void {
  const quarter = parts / 4;
  const apart = stride * quarter * VECTOR;
  const step = stride * VECTOR;
  for (let p = 0; p < quarter; p++) {
    const turn = turns + p * stride * 2 * FLOAT;
    const c1 = v128.load32_splat(turn);
    const s1 = v128.load32_splat(turn, FLOAT);
    const turn2 = turn + p * stride * 2 * FLOAT;
    const c2 = v128.load32_splat(turn2);
    const s2 = v128.load32_splat(turn2, FLOAT);
    const turn3 = turn2 + p * stride * 2 * FLOAT;
    const c3 = v128.load32_splat(turn3);
    const s3 = v128.load32_splat(turn3, FLOAT);
    for (let q = 0; q < step; q += VECTOR) {
      const from = stride * p * VECTOR + q;
      const aRe = v128.load(re + from);
      const aIm = v128.load(im + from);
      const bRe = v128.load(re + from + apart);
      const bIm = v128.load(im + from + apart);
      const cRe = v128.load(re + from + 2 * apart);
      const cIm = v128.load(im + from + 2 * apart);
      const dRe = v128.load(re + from + 3 * apart);
      const dIm = v128.load(im + from + 3 * apart);
      const acRe = f32x4.add(aRe, cRe);
      const acIm = f32x4.add(aIm, cIm);
      const bdRe = f32x4.add(bRe, dRe);
      const bdIm = f32x4.add(bIm, dIm);
      const acLessRe = f32x4.sub(aRe, cRe);
      const acLessIm = f32x4.sub(aIm, cIm);
      const bdLessRe = f32x4.sub(bRe, dRe);
      const bdLessIm = f32x4.sub(bIm, dIm);
      const to = 4 * stride * p * VECTOR + q;
      v128.store(outRe + to, f32x4.add(acRe, bdRe));
      v128.store(outIm + to, f32x4.add(acIm, bdIm));
      storeTurned(f32x4.add(acLessRe, bdLessIm), f32x4.sub(acLessIm, bdLessRe), c1, s1, outRe, outIm, to + step);
      storeTurned(f32x4.sub(acRe, bdRe), f32x4.sub(acIm, bdIm), c2, s2, outRe, outIm, to + 2 * step);
      storeTurned(f32x4.sub(acLessRe, bdLessIm), f32x4.add(acLessIm, bdLessRe), c3, s3, outRe, outIm, to + 3 * step);
    }
  }
}

function storeTurned(re: v128, im: v128, c: v128, s: v128, outRe: usize, outIm: usize, at: usize): void {
  v128.store(outRe + at, f32x4.sub(f32x4.mul(re, c), f32x4.mul(im, s)));
  v128.store(outIm + at, f32x4.add(f32x4.mul(re, s), f32x4.mul(im, c)));
}

/** Powers of four bins. Of frames as real and imaginary part F1 = (X[k] + X*[N-k]) / 2 and F2 = (X[k] - X*[N-k]) / 2j. */
function takePowers(size: i32, bin: i32, bins: i32, re: usize, im: usize, powers: usize): void {
  const a = bin * VECTOR;
  const mirror = (size - bin) * VECTOR;
  const frame = 2 * bins * FLOAT;
  storeColumns(
    powerOfFirst(re, im, a, mirror),
    powerOfFirst(re, im, a + VECTOR, mirror - VECTOR),
    powerOfFirst(re, im, a + 2 * VECTOR, mirror - 2 * VECTOR),
    powerOfFirst(re, im, a + 3 * VECTOR, mirror - 3 * VECTOR),
    powers,
    frame,
  );
  storeColumns(
    powerOfSecond(re, im, a, mirror),
    powerOfSecond(re, im, a + VECTOR, mirror - VECTOR),
    powerOfSecond(re, im, a + 2 * VECTOR, mirror - 2 * VECTOR),
    powerOfSecond(re, im, a + 3 * VECTOR, mirror - 3 * VECTOR),
    powers + bins * FLOAT,
    frame,
  );
}

function powerOfFirst(re: usize, im: usize, at: usize, mirror: usize): v128 {
  const real = f32x4.add(v128.load(re + at), v128.load(re + mirror));
  const imaginary = f32x4.sub(v128.load(im + at), v128.load(im + mirror));
  return quarterPower(real, imaginary);
}

function powerOfSecond(re: usize, im: usize, at: usize, mirror: usize): v128 {
  const real = f32x4.add(v128.load(im + at), v128.load(im + mirror));
  const imaginary = f32x4.sub(v128.load(re + at), v128.load(re + mirror));
  return quarterPower(real, imaginary);
}

function quarterPower(real: v128, imaginary: v128): v128 {
  const power = f32x4.add(f32x4.mul(real, real), f32x4.mul(imaginary, imaginary));
  return f32x4.mul(f32x4.splat(0.25), power);
}
