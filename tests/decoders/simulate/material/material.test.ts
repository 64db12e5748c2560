import { describe, expect, it } from 'vitest';
import { morse, multiToneFsk, synchronousFsk } from '../../../../decoders/simulate/material/keyed.ts';
import { LANGUAGES } from '../../../../decoders/simulate/material/languages.ts';
import { arpeggios, music } from '../../../../decoders/simulate/material/music.ts';
import { whiteNoise } from '../../../../decoders/simulate/material/noise.ts';
import { speech } from '../../../../decoders/simulate/material/speech.ts';
import { carriers, dtmf, selectiveCall, steadyTone } from '../../../../decoders/simulate/material/tones.ts';
import type { MaterialOptions, Source } from '../../../../decoders/simulate/source.ts';
import { take } from '../../../../decoders/simulate/source.ts';

const materials: readonly (readonly [string, (options: MaterialOptions) => Source])[] = [
  ...LANGUAGES.map(
    (language) => [language.name, (options: MaterialOptions) => speech({ ...options, language })] as const,
  ),
  ['dtmf', dtmf],
  ['selective call', selectiveCall],
  ['music', music],
  ['arpeggios', arpeggios],
  ['carriers', carriers],
  ['drifting carriers', (options) => carriers({ ...options, mostDriftHzPerSecond: 50 })],
  ['morse', morse],
  ['synchronous fsk', synchronousFsk],
  ['multi-tone fsk', multiToneFsk],
  ['white noise', whiteNoise],
  ['steady tone', (options) => steadyTone(88.5, options)],
];

const firstDifference = (a: Float32Array, b: Float32Array): number => a.findIndex((x, n) => x !== b[n]);

describe.each(materials)('%s', (_, make) => {
  const options = { sampleRateHz: 8000, seed: 6 };

  it('is the same in blocks of any size', () => {
    const whole = take(make(options), 40_000);
    const source = make(options);
    const pieces = new Float32Array(40_000);
    for (let at = 0, length = 1; at < pieces.length; at += length, length = 1 + ((length * 7) % 1500)) {
      source.fill(pieces.subarray(at, at + length));
    }
    expect(firstDifference(pieces, whole)).toBe(-1);
  });

  it('is another with another seed, and louder with more gain', () => {
    const one = take(make(options), 40_000);
    expect(firstDifference(take(make({ ...options, seed: 7 }), 40_000), one)).not.toBe(-1);
    const double = take(make({ ...options, gain: 2 }), 40_000);
    expect(double.findIndex((x, n) => Math.abs(x - 2 * one[n]) > 1e-6)).toBe(-1);
  });

  it.each([8000, 48_000])('sounds, and stays within full scale, at %d Hz', (sampleRateHz) => {
    const samples = take(make({ sampleRateHz, seed: 6 }), 8 * sampleRateHz);
    const peak = samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
    expect(peak).toBeGreaterThan(0.2);
    expect(peak).toBeLessThan(1);
    expect(samples.every(Number.isFinite)).toBe(true);
  });
});
