import { describe, expect, it } from 'vitest';
import { morseKeying } from '../../../decoders/simulate/morse.ts';

describe('morseKeying', () => {
  it('makes the word PARIS fifty dots long, the standard word of Morse speed (common practice)', () => {
    const seconds = morseKeying('paris', 0.06).reduce((sum, step) => sum + step.seconds, 0);
    expect(seconds).toBeCloseTo(50 * 0.06, 10);
  });

  it('keys the signs of ITU-R M.1677-1', () => {
    const on = morseKeying('Q0/', 1).filter((step) => step.tone === 'mark');
    expect(on.map((step) => (step.seconds === 3 ? '-' : '.')).join('')).toBe('--.-' + '-----' + '-..-.');
  });

  it('refuses what has no sign', () => {
    expect(() => morseKeying('A#', 0.06)).toThrow(expect.objectContaining({ code: 'no-morse-sign' }));
  });
});
