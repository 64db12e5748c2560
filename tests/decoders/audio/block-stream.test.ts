import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BLOCK_FRAMES, BlockStream } from '../../../decoders/audio/block-stream.ts';
import type { AudioBlock } from '../../../decoders/audio/types.ts';

function gather(channels: number) {
  const stream = new BlockStream(channels);
  const samples: number[][] = Array.from({ length: channels }, () => []);
  const blockFrames: number[] = [];
  const onBlock = (block: AudioBlock): void => {
    blockFrames.push(block.frames);
    for (const [c, channel] of block.channels.entries()) samples[c].push(...channel.subarray(0, block.frames));
  };
  return { stream, samples, blockFrames, onBlock };
}

describe('BlockStream', () => {
  const ramp = [1, -1].map((sign) => Float32Array.from({ length: 20_000 }, (_, n) => (sign * n) / 32768));

  it('gives blocks of one size, whatever stretches come in', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 9000 }), { minLength: 1, maxLength: 8 }), (stretches) => {
        const { stream, samples, blockFrames, onBlock } = gather(2);
        for (let i = 0, at = 0; at < 20_000; i++) {
          const to = Math.min(20_000, at + stretches[i % stretches.length]);
          stream.push(ramp, at, to, onBlock);
          at = to;
        }
        stream.end(onBlock);
        expect(blockFrames).toEqual([
          BLOCK_FRAMES,
          BLOCK_FRAMES,
          BLOCK_FRAMES,
          BLOCK_FRAMES,
          20_000 - 4 * BLOCK_FRAMES,
        ]);
        expect(samples).toEqual(ramp.map((channel) => [...channel]));
        expect(stream.frames).toBe(20_000);
        expect(stream.problems()).toEqual([]);
      }),
      { numRuns: 20, seed: 1 },
    );
  });

  it('puts silence where it is told to', () => {
    const { stream, samples, onBlock } = gather(2);
    stream.push(ramp, 100, 200, onBlock);
    stream.pushSilence(5000, onBlock);
    stream.push(ramp, 200, 300, onBlock);
    stream.end(onBlock);
    const expected = [...ramp[0].subarray(100, 200), ...new Float32Array(5000), ...ramp[0].subarray(200, 300)];
    expect(samples[0]).toEqual(expected);
  });

  it('says when nothing came', () => {
    const { stream, blockFrames, onBlock } = gather(1);
    stream.end(onBlock);
    expect(blockFrames).toEqual([]);
    expect(stream.problems().map(({ code }) => code)).toEqual(['no-samples']);
  });
});
