import { expect, test } from 'vitest';
import { steadyTone, whiteNoise } from '../../../decoders/simulate/material/index.ts';
import { mix } from '../../../decoders/simulate/source.ts';
import { BurstReader } from '../../../decoders/teletype/burst-reader.ts';
import type { Burst } from '../../../decoders/teletype/types.ts';

const RATE_HZ = 8000;
const SECONDS = 90;

test('two steady carriers in noise, far weaker than any burst is found by itself, are none', () => {
  const options = (label: number, gain: number) => ({ sampleRateHz: RATE_HZ, seed: 100 + label, gain });
  const carriers = mix(steadyTone(1277, options(8, 0.1)), steadyTone(1447, options(9, 0.1)));
  const heard = mix(carriers, whiteNoise(options(10, 0.3)));
  const reader = new BurstReader({ sampleRateHz: RATE_HZ });
  const bursts: Burst[] = [];
  const block = new Float32Array(RATE_HZ);
  for (let second = 0; second < SECONDS; second++) {
    heard.fill(block);
    reader.push(block, ({ burst }) => bursts.push(burst));
  }
  reader.end(({ burst }) => bursts.push(burst));
  expect(bursts).toEqual([]);
});
