import { describe, expect, it } from 'vitest';
import { LevelWatch } from '../../../decoders/audio/level-watch.ts';
import { Random } from '../../../decoders/simulate/random.ts';

function problems(...channels: Float32Array[]): string[] {
  const watch = new LevelWatch();
  watch.add({ frames: channels[0].length, channels });
  return watch.problems().map((problem) => problem.code);
}

/** A tone of 1275 Hz at 8 kHz, rounded to `bits` bits. */
function tone(amplitude: number, bits: number, limit = 1): Float32Array {
  const steps = 2 ** (bits - 1);
  return Float32Array.from({ length: 20_000 }, (_, n) => {
    const x = amplitude * Math.sin((2 * Math.PI * 1275.3 * n) / 8000);
    return Math.round(steps * Math.max(-limit, Math.min(limit, x))) / steps;
  });
}

describe('LevelWatch', () => {
  it('finds silence: zeros, or one value all the time', () => {
    expect(problems(new Float32Array(100))).toEqual(['silent']);
    expect(problems(new Float32Array(100).fill(-0.01))).toEqual(['silent']);
  });

  it('does not call a recording silent that has one live channel', () => {
    expect(problems(new Float32Array(20_000), tone(0.1, 16))).toEqual([]);
  });

  it('finds cut peaks at full scale and below', () => {
    expect(problems(tone(2, 16))).toEqual(['clipped']);
    expect(problems(tone(1, 16, 0.6))).toEqual(['clipped']);
    expect(problems(Float32Array.from({ length: 1000 }, (_, n) => (n % 6 < 3 ? 1 : -1)))).toEqual(['clipped']);
  });

  it('lets clean tones and noise pass, coarse ones too', () => {
    const random = new Random(41);
    const noise = Float32Array.from({ length: 20_000 }, () => random.gaussian() / 8);
    const coarse = Float32Array.from({ length: 20_000 }, () => Math.round(random.gaussian()) / 128);
    // Six samples a turn: a sixth of them stand at either extreme, one by one.
    const even = Float32Array.from({ length: 20_000 }, (_, n) => [0.25, 0.5, 0.25, -0.25, -0.5, -0.25][n % 6]);
    for (const samples of [even, tone(0.99, 16), tone(0.99, 8), tone(0.02, 8), noise, coarse]) {
      expect(problems(samples)).toEqual([]);
    }
  });

  it('says when there were no samples', () => {
    expect(new LevelWatch().problems().map(({ code }) => code)).toEqual(['no-samples']);
  });
});
