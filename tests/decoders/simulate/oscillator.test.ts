import { describe, expect, it } from 'vitest';
import { Oscillator } from '../../../decoders/simulate/oscillator.ts';

describe('Oscillator', () => {
  it('is a sine over a hundred thousand samples, whatever the pieces', () => {
    const oscillator = new Oscillator(8000, 1234.5, 0.7);
    const block = new Float32Array(100_000);
    for (let at = 0; at < block.length; at += 500) oscillator.addTo(block, at, 500, 0.5);
    let worst = 0;
    for (let n = 0; n < block.length; n++) {
      worst = Math.max(worst, Math.abs(block[n] - 0.5 * Math.sin((2 * Math.PI * 1234.5 * n) / 8000 + 0.7)));
    }
    expect(worst).toBeLessThan(1e-6);
  });

  it('keeps its phase when the frequency changes, and glides in amplitude', () => {
    const oscillator = new Oscillator(8000, 1000, Math.PI / 2);
    const block = new Float32Array(12);
    oscillator.addTo(block, 0, 8, 1, 0);
    oscillator.setHz(2000);
    oscillator.addTo(block, 8, 4, 1);
    const wanted = [1, 0.7 * Math.SQRT1_2 * 1.25, 0, -0.625 * Math.SQRT1_2, -0.5];
    for (const n of [0, 1, 2, 3, 4]) expect(block[n]).toBeCloseTo(wanted[n], 6);
    for (const [n, x] of [1, 0, -1, 0].entries()) expect(block[8 + n]).toBeCloseTo(x, 6);
  });
});
