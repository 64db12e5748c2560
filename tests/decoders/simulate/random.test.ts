import { describe, expect, it } from 'vitest';
import { Random } from '../../../decoders/simulate/random.ts';

describe('Random', () => {
  it('gives the same sequence for the same seed and another for another', () => {
    const draw = (seed: number) =>
      Array.from(
        { length: 8 },
        (
          (random) => () =>
            random.bits()
        )(new Random(seed)),
      );
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
    expect(draw(1)).not.toEqual(draw(1.5));
  });

  it('keeps its sequence from version to version, so that published figures can be had again', () => {
    const random = new Random(1);
    expect([random.bits(), random.bits(), random.bits()]).toMatchInlineSnapshot(`
      [
        2882652692,
        1847692750,
        208978091,
      ]
    `);
  });

  it('branches by label alone', () => {
    const used = new Random(3);
    for (let i = 0; i < 10; i++) used.gaussian();
    const a = used.branch('speech').bits();
    expect(a).toBe(new Random(3).branch('speech').bits());
    expect(a).not.toBe(new Random(3).branch('noise').bits());
    expect(a).not.toBe(new Random(4).branch('speech').bits());
    const twig = (first: string, second: string) => new Random(3).branch(first).branch(second).bits();
    expect(new Set([a, twig('a', 'b'), twig('c', 'b'), twig('b', 'a'), twig('ab', ''), twig('', 'ab')]).size).toBe(6);
  });

  it('draws uniform numbers with the moments of the uniform distribution', () => {
    const random = new Random(11);
    const count = 200_000;
    let sum = 0;
    let squares = 0;
    let outside = 0;
    for (let i = 0; i < count; i++) {
      const u = random.uniform();
      if (u < 0 || u >= 1) outside++;
      sum += u;
      squares += u * u;
    }
    expect(outside).toBe(0);
    // Five standard errors: sqrt(1/12/count) = 6.5e-4, sqrt(4/45/count) = 6.7e-4.
    expect(Math.abs(sum / count - 1 / 2)).toBeLessThan(3.3e-3);
    expect(Math.abs(squares / count - 1 / 3)).toBeLessThan(3.4e-3);
  });

  it('draws whole numbers of a range evenly', () => {
    const random = new Random(12);
    const counts = new Array<number>(10).fill(0);
    for (let i = 0; i < 100_000; i++) counts[random.integer(10)]++;
    for (const count of counts) expect(Math.abs(count - 10_000)).toBeLessThan(5 * Math.sqrt(9000));
  });

  it('draws Gaussian numbers: moments and tail shares', () => {
    const random = new Random(13);
    const count = 1_000_000;
    const moments = [0, 0, 0, 0, 0];
    const beyond = [0, 0, 0, 0, 0];
    for (let i = 0; i < count; i++) {
      const x = random.gaussian();
      for (let k = 1; k <= 4; k++) moments[k] += x ** k / count;
      for (let k = 1; k <= 4; k++) if (x > k) beyond[k]++;
    }
    // Moments of the normal distribution, within five standard errors.
    expect(Math.abs(moments[1])).toBeLessThan(5e-3);
    expect(Math.abs(moments[2] - 1)).toBeLessThan(5 * Math.sqrt(2 / count));
    expect(Math.abs(moments[3])).toBeLessThan(5 * Math.sqrt(15 / count));
    expect(Math.abs(moments[4] - 3)).toBeLessThan(5 * Math.sqrt(96 / count));
    // Upper tail areas Q(1)..Q(4): Abramowitz and Stegun, table 26.1. Q(4) lies in the ziggurat's tail.
    const areas = [0, 0.158655254, 0.022750132, 0.001349898, 0.0000316712];
    for (let k = 1; k <= 4; k++) {
      expect(Math.abs(beyond[k] - count * areas[k])).toBeLessThan(5 * Math.sqrt(count * areas[k]));
    }
  });

  it('draws Gaussian numbers with the density of the normal distribution, in fine steps', () => {
    const random = new Random(15);
    const count = 2_000_000;
    const width = 0.02;
    const counts = new Float64Array(350);
    for (let i = 0; i < count; i++) counts[Math.floor(Math.abs(random.gaussian()) / width)]++;
    let chiSquare = 0;
    let bins = 0;
    for (let bin = 0; (bin + 0.5) * width < 3.6; bin++, bins++) {
      const x = (bin + 0.5) * width;
      const wanted = 2 * count * width * (Math.exp(-0.5 * x * x) / Math.sqrt(2 * Math.PI));
      chiSquare += (counts[bin] - wanted) ** 2 / wanted;
    }
    // Chi-square of many bins: mean as many as bins, variance twice that.
    expect(Math.abs(chiSquare - bins)).toBeLessThan(4 * Math.sqrt(2 * bins));
  });

  it('draws neighbours that are not correlated', () => {
    const random = new Random(14);
    const count = 200_000;
    const x = Float64Array.from({ length: count }, () => random.gaussian());
    for (const lag of [1, 2, 3, 7]) {
      let product = 0;
      for (let i = lag; i < count; i++) product += x[i] * x[i - lag];
      expect(Math.abs(product / count)).toBeLessThan(5 / Math.sqrt(count));
    }
  });
});
