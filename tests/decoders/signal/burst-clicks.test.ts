import { describe, expect, test } from 'vitest';
import { withoutClicks } from '../../../decoders/signal/burst-clicks.ts';
import { Random } from '../../../decoders/simulate/random.ts';

const COUNT = 80_000;

function tone(amplitude: number, sigma: number, seed: number): Float32Array {
  const random = new Random(seed);
  return Float32Array.from(
    { length: COUNT },
    (_, i) => 0.1 + amplitude * Math.sin(0.97 * i) + sigma * random.gaussian(),
  );
}

describe('a tone in white noise is left alone', () => {
  test.each([0.1, 0.3, 1, 3])('at an amplitude of %d times the noise', (amplitude) => {
    for (const seed of [1, 2, 3]) expect(withoutClicks(tone(amplitude, 1, seed), amplitude, 0, COUNT)).toBeNull();
  });
});

test('impulses are held within what most samples reach, about their mean', () => {
  const samples = tone(0.5, 0.1, 4);
  const random = new Random(5);
  for (let i = 0; i < COUNT; i += 100) samples[i] = 0.1 + (random.uniform() < 0.5 ? -9 : 9);
  const held = withoutClicks(samples, 0.5, 0, COUNT);
  if (!held) throw new Error('left alone');
  const most = held.reduce((a, b) => Math.max(a, b));
  const least = held.reduce((a, b) => Math.min(a, b));
  expect(most).toBeLessThan(1);
  expect((most + least) / 2).toBeCloseTo(0.1, 1);
});

test('silence is left alone', () => {
  expect(withoutClicks(new Float32Array(1000), 0, 0, 1000)).toBeNull();
});
