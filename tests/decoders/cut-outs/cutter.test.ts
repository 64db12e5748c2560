import { describe, expect, test } from 'vitest';
import { FlacReader } from '../../../decoders/audio/flac.ts';
import { Cutter } from '../../../decoders/cut-outs/cutter.ts';
import type { CutOut } from '../../../decoders/cut-outs/types.ts';

const RATE = 8000;
const stretch = (startSeconds: number, endSeconds: number, channel = 0) => ({
  channel,
  startSeconds,
  endSeconds,
  bursts: [],
});

function cut(
  stretches: ReturnType<typeof stretch>[],
  channels: Float32Array[],
  blockFrames: number,
  simulated = false,
): CutOut[] {
  const found: CutOut[] = [];
  const cutter = new Cutter(stretches, { sampleRateHz: RATE, simulated });
  for (let at = 0; at < channels[0].length; at += blockFrames) {
    const block = channels.map((samples) => samples.subarray(at, at + blockFrames));
    cutter.take({ frames: block[0].length, channels: block }, (one) => found.push(one));
  }
  cutter.end((one) => found.push(one));
  return found;
}

function heard({ flac }: CutOut): number[] {
  const samples: number[] = [];
  const reader = new FlacReader();
  const take = (block: { frames: number; channels: readonly Float32Array[] }) => {
    samples.push(...block.channels[0].subarray(0, block.frames));
  };
  reader.push(flac, take);
  reader.end(take);
  return samples;
}

/** Each sample says where it stands. */
const ramp = Float32Array.from({ length: 3 * RATE }, (_, i) => Math.fround(((i % 30_000) + 1) / 32_768));
const negative = ramp.map((sample) => -sample);

describe('a cutter', () => {
  test.each([1, 100, 4096, 3 * RATE])('gives the samples of each stretch, in blocks of %d', (blockFrames) => {
    const [first, second] = cut([stretch(0.5, 1), stretch(0.75, 1.25, 1)], [ramp, negative], blockFrames);
    expect([first.startSeconds, first.endSeconds]).toEqual([0.5, 1]);
    expect(heard(first)).toEqual([...ramp.subarray(4000, 8000)]);
    expect(heard(second)).toEqual([...negative.subarray(6000, 10_000)]);
  });

  test('gives what there is of a stretch that goes on behind the end', () => {
    const [only] = cut([stretch(2.9, 9)], [ramp], 1000);
    expect(only.endSeconds).toBe(3);
    expect(heard(only)).toHaveLength(0.1 * RATE);
  });

  test('keeps what 16 bits would cut off or coarsen', () => {
    const tone = (level: number) => Float32Array.from({ length: RATE }, (_, i) => level * Math.sin(i / 3));
    for (const level of [4, 1e-5]) {
      const [only] = cut([stretch(0, 1)], [tone(level)], 1000);
      const samples = heard(only);
      const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
      expect(peak).toBeGreaterThan(0.5);
      const gain = 2 ** Math.round(Math.log2(peak / level));
      expect(samples[100]).toBeCloseTo(gain * tone(level)[100], 4);
    }
  });

  test('says inside that nobody sent it, where that is so', () => {
    const info = (simulated: boolean) => {
      const reader = new FlacReader();
      reader.push(cut([stretch(0, 1)], [ramp], 1000, simulated)[0].flac, () => {});
      reader.end(() => {});
      return reader.info?.simulated ?? false;
    };
    expect([info(true), info(false)]).toEqual([true, false]);
  });
});
