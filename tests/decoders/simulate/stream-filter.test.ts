import { describe, expect, it } from 'vitest';
import { Random } from '../../../decoders/simulate/random.ts';
import { StreamFilter } from '../../../decoders/simulate/stream-filter.ts';

describe('StreamFilter', () => {
  it.each([1, 4])('is the convolution of the whole stream, one output in %d, across pieces', (decimation) => {
    const random = new Random(1);
    const taps = Float64Array.of(1, -2, 3, 5, 3, -2, 1);
    const stream = Float32Array.from({ length: 48 }, () => random.gaussian());
    const filter = new StreamFilter(taps, 16, decimation);
    const out = new Float32Array(48 / decimation);
    for (let piece = 0; piece < 3; piece++) {
      filter.input.set(stream.subarray(16 * piece, 16 * piece + 16));
      filter.filter(out.subarray((16 * piece) / decimation, (16 * piece + 16) / decimation));
    }
    out.forEach((y, n) => {
      const wanted = taps.reduce((sum, tap, k) => sum + tap * (stream[n * decimation - 6 + k] ?? 0), 0);
      expect(y).toBeCloseTo(wanted, 5);
    });
  });
});
