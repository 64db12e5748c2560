const FLOAT = 4;

/**
 * Filters and keeps one sample in `factor`; see `Kernel.filterDown`. The samples are first dealt out to `factor` streams,
 * in which what one tap meets at four neighbouring outputs lies side by side.
 *
 * @param half `pairs` taps on either side of the centre, floats, `step` samples apart.
 * @param streams room for all samples, in streams of `streamLength` floats.
 * @param places room for two addresses a pair.
 * @param outputs to be made; up to fifteen more are written.
 */
export function filterDown(
  samples: usize,
  length: i32,
  factor: i32,
  middle: i32,
  half: usize,
  pairs: i32,
  step: i32,
  centreTap: f32,
  streams: usize,
  streamLength: i32,
  places: usize,
  output: usize,
  outputs: i32,
): void {
  if (factor === 3) dealThree(samples, length, streams, streamLength);
  else dealTwo(samples, length, streams, streamLength);
  for (let i = 0; i < pairs; i++) {
    const distance = 1 + i * step;
    store<u32>(places + i * 8, <u32>placeOf(middle - distance, factor, streams, streamLength));
    store<u32>(places + i * 8, <u32>placeOf(middle + distance, factor, streams, streamLength), 4);
  }
  const centre = placeOf(middle, factor, streams, streamLength);
  const centreTaps = f32x4.splat(centreTap);
  const end = outputs * FLOAT;
  for (let at = 0; at < end; at += 4 * 4 * FLOAT) {
    let a = f32x4.mul(centreTaps, v128.load(centre + at));
    let b = f32x4.mul(centreTaps, v128.load(centre + at, 16));
    let c = f32x4.mul(centreTaps, v128.load(centre + at, 32));
    let d = f32x4.mul(centreTaps, v128.load(centre + at, 48));
    for (let i = 0; i < pairs; i++) {
      const tap = v128.load32_splat(half + i * FLOAT);
      const before = <usize>load<u32>(places + i * 8) + at;
      const behind = <usize>load<u32>(places + i * 8, 4) + at;
      a = f32x4.add(a, f32x4.mul(tap, f32x4.add(v128.load(before), v128.load(behind))));
      b = f32x4.add(b, f32x4.mul(tap, f32x4.add(v128.load(before, 16), v128.load(behind, 16))));
      c = f32x4.add(c, f32x4.mul(tap, f32x4.add(v128.load(before, 32), v128.load(behind, 32))));
      d = f32x4.add(d, f32x4.mul(tap, f32x4.add(v128.load(before, 48), v128.load(behind, 48))));
    }
    v128.store(output + at, a);
    v128.store(output + at, b, 16);
    v128.store(output + at, c, 32);
    v128.store(output + at, d, 48);
  }
}

/** Where sample `index` lies in the streams: what later outputs meet in its stead follows it. */
function placeOf(index: i32, factor: i32, streams: usize, streamLength: i32): usize {
  return streams + ((index % factor) * streamLength + index / factor) * FLOAT;
}

function dealTwo(samples: usize, length: i32, streams: usize, streamLength: i32): void {
  const other = streams + streamLength * FLOAT;
  const end = ((length + 1) / 2) * FLOAT;
  for (let at = 0; at < end; at += 16) {
    const a = v128.load(samples);
    const b = v128.load(samples, 16);
    v128.store(streams + at, v128.shuffle<f32>(a, b, 0, 2, 4, 6));
    v128.store(other + at, v128.shuffle<f32>(a, b, 1, 3, 5, 7));
    samples += 32;
  }
}

function dealThree(samples: usize, length: i32, streams: usize, streamLength: i32): void {
  const second = streams + streamLength * FLOAT;
  const third = second + streamLength * FLOAT;
  const end = ((length + 2) / 3) * FLOAT;
  for (let at = 0; at < end; at += 16) {
    const a = v128.load(samples);
    const b = v128.load(samples, 16);
    const c = v128.load(samples, 32);
    // Samples 0 3 6 9, 1 4 7 10 and 2 5 8 11 of the twelve.
    const ab = v128.shuffle<f32>(a, b, 0, 3, 6, 6);
    v128.store(streams + at, v128.shuffle<f32>(ab, c, 0, 1, 2, 5));
    const ba = v128.shuffle<f32>(a, b, 1, 4, 7, 7);
    v128.store(second + at, v128.shuffle<f32>(ba, c, 0, 1, 2, 6));
    const bc = v128.shuffle<f32>(b, c, 1, 4, 7, 7);
    v128.store(third + at, v128.shuffle<f32>(a, bc, 2, 4, 5, 6));
    samples += 48;
  }
}
