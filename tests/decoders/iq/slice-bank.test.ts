import { expect, test } from 'vitest';
import { SLICE_CENTRE_HZ, SliceBank } from '../../../decoders/iq/slice-bank.ts';

/** Audio of all slices of a band that holds one phasor. */
function slicesOf(rateHz: number, hz: number, seconds = 0.2, piece = 1 << 20): Float32Array[] {
  const bank = new SliceBank(rateHz);
  const count = Math.round(seconds * rateHz);
  const part = (shape: (angle: number) => number) =>
    Float32Array.from({ length: count }, (_, n) => shape((2 * Math.PI * hz * n) / rateHz));
  const [re, im] = [part(Math.cos), part(Math.sin)];
  const audio: number[][] = bank.centresHz.map(() => []);
  const take = (slice: number, samples: Float32Array) => audio[slice].push(...samples);
  for (let at = 0; at < count; at += piece) bank.push(re.subarray(at, at + piece), im.subarray(at, at + piece), take);
  bank.end(take);
  return audio.map((samples) => Float32Array.from(samples));
}

// The slice's audio is cos(2 pi (hz - centre + SLICE_CENTRE_HZ) t): frequency, level and time are those of the band.
test.each([
  [12_000, 3210],
  [44_100, -9876],
  [48_000, 7300],
  [250_000, -61_234.5],
])('at %d Hz a carrier at %d Hz stands in its slice with its phase, and in no slice far off', (rateHz, hz) => {
  const { centresHz } = new SliceBank(rateHz);
  for (const [slice, audio] of slicesOf(rateHz, hz).entries()) {
    const offset = hz - centresHz[slice];
    // Beyond the filters' edges at either end.
    for (let n = 400; n < 1200; n++) {
      const expected = Math.cos((2 * Math.PI * (offset + SLICE_CENTRE_HZ) * n) / 8000);
      if (Math.abs(offset) < 1400) expect(Math.abs(audio[n] - expected)).toBeLessThan(0.02);
      if (Math.abs(offset) > 2000) expect(Math.abs(audio[n])).toBeLessThan(0.01);
    }
  }
});

test('every frequency stands well within some slice', () => {
  for (const rateHz of [8000, 12_000, 48_000, 96_000, 250_000]) {
    const { centresHz } = new SliceBank(rateHz);
    const sorted = [...centresHz].sort((a, b) => a - b);
    expect(Math.max(...sorted.slice(1).map((hz, i) => hz - sorted[i]))).toBeLessThanOrEqual(2000);
    expect(sorted[0]).toBe(-rateHz / 2);
  }
});

test('the same band in other pieces gives the same bits', () => {
  const whole = slicesOf(44_100, 5000, 0.2);
  for (const piece of [1, 777, 4096]) expect(slicesOf(44_100, 5000, 0.2, piece)).toEqual(whole);
});

test('a rate that cannot be searched is refused', () => {
  const refused = expect.objectContaining({ code: 'sample-rate-out-of-range' });
  for (const rateHz of [4000, 2e6, Number.NaN]) expect(() => new SliceBank(rateHz)).toThrow(refused);
});
