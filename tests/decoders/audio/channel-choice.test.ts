import { describe, expect, it } from 'vitest';
import { DistinctChannels } from '../../../decoders/audio/channel-choice.ts';
import { Random } from '../../../decoders/simulate/random.ts';

const random = new Random(51);
const FRAMES = 4096;
const noise = (level = 0.1): Float32Array => Float32Array.from({ length: FRAMES }, () => level * random.gaussian());
const scaled = (x: Float32Array, gain: number): Float32Array => x.map((v) => gain * v);
const rounded = (x: Float32Array): Float32Array => x.map((v) => Math.round(32768 * v) / 32768);
const silence = new Float32Array(FRAMES);
const block = (...channels: Float32Array[]) => ({ frames: FRAMES, channels });

describe('DistinctChannels', () => {
  it('takes identical channels once', () => {
    const choice = new DistinctChannels(2);
    for (let i = 0; i < 3; i++) {
      const x = noise();
      expect(choice.add(block(x, x.slice()))).toEqual(i === 0 ? [0] : []);
    }
    expect(choice.distinct).toEqual([0]);
    expect(choice.kind(1)).toEqual({ copyOf: 0 });
  });

  it('knows copies at another level, inverted, offset, or rounded to 16 bits', () => {
    const x = rounded(noise());
    const choice = new DistinctChannels(5);
    choice.add(
      block(
        x,
        scaled(x, 0.3),
        scaled(x, -1),
        rounded(scaled(x, 0.05)),
        scaled(x, 0.9).map((v) => v + 0.2),
      ),
    );
    expect(choice.distinct).toEqual([0]);
  });

  it('leaves out silent channels until they speak', () => {
    const choice = new DistinctChannels(3);
    expect(choice.add(block(silence, noise(), silence))).toEqual([1]);
    expect([0, 1, 2].map((c) => choice.kind(c))).toEqual(['silent', 'distinct', 'silent']);
    const x = noise();
    expect(choice.add(block(x, noise(), x))).toEqual([0]);
    expect(choice.distinct).toEqual([1, 0]);
    expect(choice.kind(2)).toEqual({ copyOf: 0 });
  });

  it('keeps apart the same signal with other noise, 30 dB down', () => {
    const x = noise();
    const other = noise(0.003);
    const choice = new DistinctChannels(2);
    expect(
      choice.add(
        block(
          x,
          x.map((v, i) => v + other[i]),
        ),
      ),
    ).toEqual([0, 1]);
  });

  it('is not fooled by a large steady offset', () => {
    const choice = new DistinctChannels(2);
    const weak = () => noise(3e-4).map((v) => v + 0.5);
    expect(choice.add(block(weak(), weak()))).toEqual([0, 1]);
  });

  it('says at which block a copy became different, and keeps it so', () => {
    const choice = new DistinctChannels(3);
    const x = noise();
    choice.add(block(x, x, x));
    const y = noise();
    expect(choice.add(block(noise(), y, y))).toEqual([1]);
    expect(choice.kind(2)).toEqual({ copyOf: 1 });
    expect(choice.add(block(x, x, x))).toEqual([]);
    expect(choice.distinct).toEqual([0, 1]);
  });

  it('takes no channel for a copy of one with another past', () => {
    const choice = new DistinctChannels(3);
    const x = noise();
    choice.add(block(silence, x, x));
    const y = noise();
    expect(choice.add(block(y, noise(), y))).toEqual([0, 2]);
  });

  it('finds nothing to decode in silence', () => {
    const choice = new DistinctChannels(2);
    expect(choice.add(block(silence, silence))).toEqual([]);
    expect(choice.distinct).toEqual([]);
  });
});
