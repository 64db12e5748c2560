import { describe, expect, test } from 'vitest';
import { BandNarrower, narrowingOf } from '../../../decoders/iq/narrowing.ts';

describe('the part of a band that is searched', () => {
  test('is all of it up to 512 kHz', () => {
    expect(narrowingOf(512_000, 145.9e6, [145.9e6])).toBeNull();
  });

  test('lies where most of the known downlinks are, within the band', () => {
    const center = 436e6;
    const of = (...downlinks: number[]) => narrowingOf(2_400_000, center, downlinks)?.offsetHz;
    expect(narrowingOf(2_400_000, center, [436.5e6])).toEqual({ offsetHz: 0.5e6, decimation: 10, passHz: 96_000 });
    expect(of(435.5e6, 436.61e6, 436.6e6, 145.9e6)).toBe(0.61e6);
    expect(of(437.19e6)).toBe(1_104_000);
    expect(of(145.9e6)).toBe(0);
    expect(narrowingOf(600_000, null, [436e6])).toEqual({ offsetHz: 0, decimation: 3, passHz: 80_000 });
  });
});

describe('a narrowed band', () => {
  const RATE = 48_000;
  const narrowing = { offsetHz: -9000, decimation: 4, passHz: 4800 };
  const FRAMES = 20_001;

  function narrowed(hz: number, block: number, firstFrame = 0): { re: number[]; im: number[] } {
    const part = (of: (angle: number) => number) =>
      Float32Array.from({ length: FRAMES }, (_, n) => of((2 * Math.PI * hz * (n + firstFrame)) / RATE));
    const [re, im] = [part(Math.cos), part(Math.sin)];
    const out = { re: [] as number[], im: [] as number[] };
    const take = (a: Float32Array, b: Float32Array): void => {
      out.re.push(...a);
      out.im.push(...b);
    };
    const narrower = new BandNarrower(RATE, narrowing, firstFrame);
    for (let at = 0; at < FRAMES; at += block)
      narrower.push(re.subarray(at, at + block), im.subarray(at, at + block), take);
    narrower.end(take);
    return out;
  }

  test.each([0, 400])(
    'has at its zero what stood at its middle, each output in its place, from frame %d on',
    (first) => {
      const { re, im } = narrowed(-9000 + 1000, 4096, first);
      expect(re).toHaveLength(Math.ceil(FRAMES / 4));
      for (const n of [100, 2000, 4000, 4900]) {
        const angle = (2 * Math.PI * 1000 * (first + 4 * n)) / RATE;
        expect(re[n]).toBeCloseTo(Math.cos(angle), 3);
        expect(im[n]).toBeCloseTo(Math.sin(angle), 3);
      }
    },
  );

  test.each([-9000 + 7000, -9000 - 7000, 9000, 20_000])('holds nothing of what stands beside it, at %d Hz', (hz) => {
    const { re, im } = narrowed(hz, 4096);
    for (let n = 100; n < 4900; n++) expect(Math.hypot(re[n], im[n])).toBeLessThan(1.2e-3);
  });

  test('is the same in blocks of any size', () => {
    const whole = narrowed(-8123, FRAMES);
    for (const block of [1, 997, 4096]) expect(narrowed(-8123, block)).toEqual(whole);
  });
});
