import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { noiseCorrelation, noiseOrigin } from '../../../../decoders/frames/copies/common-noise.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { heard } from '../../support/soft.ts';

const codesOf = (random: Random) => Array.from({ length: 60 }, () => random.integer(32));

describe('noiseOrigin', () => {
  test.each([4, 8, 14, 20])('independent noise on the same text is told from the same noise, %d dB', (ebN0Db) => {
    for (let seed = 0; seed < 30; seed++) {
      const random = new Random(seed);
      const codes = codesOf(random);
      const a = heard(codes, ebN0Db, random).elementLlr;
      const b = heard(codes, ebN0Db, random).elementLlr;
      expect(noiseOrigin(a, b)).toBe('independent');
      expect(
        noiseOrigin(
          a,
          a.map((llr) => 0.8 * llr + random.gaussian()),
        ),
      ).toBe('same');
    }
  });

  test('what the sender does to everybody is no common noise: stronger mark, slow fading', () => {
    const random = new Random(9);
    const codes = codesOf(random);
    const shaped = (llr: Float32Array) =>
      llr.map((each, i) => each * (each > 0 ? 1.5 : 1) * (1 + 0.6 * Math.sin(i / 40)));
    const a = shaped(heard(codes, 12, random).elementLlr);
    const b = shaped(heard(codes, 12, random).elementLlr);
    expect(noiseOrigin(a, b)).toBe('independent');
  });

  test('says nothing of what is too short, missing, or without noise', () => {
    const random = new Random(2);
    const llr = heard(codesOf(random), 8, random).elementLlr;
    expect(noiseOrigin(llr.subarray(0, 70), llr.subarray(0, 70))).toBe('unknown');
    expect(noiseOrigin(llr, new Float32Array(llr.length))).toBe('unknown');
    const clipped = llr.map((each) => 500 * Math.sign(each));
    expect(noiseOrigin(clipped, clipped)).toBe('unknown');
  });
});

test('the correlation does not ask which copy comes first, nor how loud it is', () => {
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 1e6 }), fc.double({ min: 0.1, max: 10, noNaN: true }), (seed, gain) => {
      const random = new Random(seed);
      const codes = codesOf(random);
      const a = heard(codes, 10, random).elementLlr;
      const b = heard(codes, 10, random).elementLlr;
      const forth = noiseCorrelation(a, b)?.correlation ?? Number.NaN;
      expect(noiseCorrelation(b, a)?.correlation).toBeCloseTo(forth, 6);
      expect(
        noiseCorrelation(
          a.map((llr) => llr * gain),
          b,
        )?.correlation,
      ).toBeCloseTo(forth, 3);
      expect(Math.abs(forth)).toBeLessThanOrEqual(1);
    }),
    { numRuns: 20 },
  );
});
