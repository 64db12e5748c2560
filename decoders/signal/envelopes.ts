/** Complex sums of a tone over equal slots of time. */
export interface ToneSums {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

export function createToneSums(slots: number): ToneSums {
  return { re: new Float64Array(slots), im: new Float64Array(slots) };
}

/**
 * The keying, level-free and bounded: d = (|a| - |b|) / (|a| + |b|) with both tones' sums over `slots` slots from n on.
 * Returns how many values there are.
 */
export function keying(a: ToneSums, b: ToneSums, count: number, slots: number, d: Float64Array): number {
  return differ(a.re, a.im, b.re, b.im, count, slots, d);
}

function differ(
  aRe: Float64Array,
  aIm: Float64Array,
  bRe: Float64Array,
  bIm: Float64Array,
  count: number,
  slots: number,
  d: Float64Array,
): number {
  const values = count - slots + 1;
  for (let n = 0; n < values; n++) {
    let ar = 0;
    let ai = 0;
    let br = 0;
    let bi = 0;
    for (let k = n; k < n + slots; k++) {
      ar += aRe[k];
      ai += aIm[k];
      br += bRe[k];
      bi += bIm[k];
    }
    const a = Math.sqrt(ar * ar + ai * ai);
    const b = Math.sqrt(br * br + bi * bi);
    d[n] = a + b > 0 ? (a - b) / (a + b) : 0;
  }
  return Math.max(0, values);
}
