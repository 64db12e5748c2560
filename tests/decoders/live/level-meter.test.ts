import { expect, test } from 'vitest';
import { LevelMeter } from '../../../decoders/live/level-meter.ts';
import type { LiveLevel } from '../../../decoders/live/types.ts';

test('tells power and peak of each tenth of a second, whatever the blocks', () => {
  const sine = Float32Array.from({ length: 4000 }, (_, i) => 0.5 * Math.sin((2 * Math.PI * 1000 * i) / 8000 + 0.1));
  const meter = new LevelMeter(8000);
  const levels: LiveLevel[] = [];
  for (let at = 0; at < sine.length; at += 333) meter.take(sine.subarray(at, at + 333), (level) => levels.push(level));
  expect(levels.map(({ endSeconds }) => endSeconds)).toEqual([0.1, 0.2, 0.3, 0.4, 0.5]);
  for (const { rms, peak } of levels) {
    expect(rms).toBeCloseTo(0.5 / Math.SQRT2, 6);
    expect(peak).toBeCloseTo(0.4975, 3);
  }
});
