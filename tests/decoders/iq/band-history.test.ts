import { describe, expect, test } from 'vitest';
import { BandHistory } from '../../../decoders/iq/band-history.ts';
import { Random } from '../../../decoders/simulate/random.ts';

const CAPACITY = 1000;
const random = new Random(1);
const shorts = Float32Array.from(
  { length: 3000 },
  (_, i) => (i < 2 ? (i === 0 ? -32_768 : 32_767) : random.integer(65_536) - 32_768) / 32_768,
);
const floats = Float32Array.from({ length: 3000 }, () => random.gaussian());

describe.each([
  ['of 16 bits', shorts, shorts.map((x) => -x / 2 + 0).map((x) => Math.fround(Math.trunc(x * 32_768) / 32_768))],
  ['as floats', floats, floats.map((x) => 2 * x)],
  [
    'that turn from 16 bits to floats',
    Float32Array.from([...shorts.subarray(0, 1500), ...floats.subarray(0, 1500)]),
    floats,
  ],
])('samples %s', (_name, re, im) => {
  test('come back as they were, bit for bit, as far as they are held, and silence elsewhere', () => {
    const history = new BandHistory(8000, CAPACITY, 50);
    for (let at = 0; at < re.length; at += 170) history.append(re.subarray(at, at + 170), im.subarray(at, at + 170));
    expect(history.end).toBe(50 + re.length);
    expect(history.begin).toBe(history.end - CAPACITY);
    const [gotRe, gotIm] = [new Float32Array(CAPACITY + 20), new Float32Array(CAPACITY + 20)];
    history.copy(history.begin - 10, gotRe, gotIm);
    const padded = (part: Float32Array) =>
      Float32Array.from({ length: CAPACITY + 20 }, (_, i) => part[re.length - CAPACITY + i - 10] ?? 0).fill(0, 0, 10);
    expect(gotRe).toEqual(padded(re));
    expect(gotIm).toEqual(padded(im));
  });
});
