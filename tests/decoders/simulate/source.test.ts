import { describe, expect, it } from 'vitest';
import type { Source } from '../../../decoders/simulate/source.ts';
import { eventSource, loop, mix, pause, take } from '../../../decoders/simulate/source.ts';

const constant = (value: number): Source => ({ fill: (block) => void block.fill(value) });

describe('mix', () => {
  it('adds its sources, whatever stood in the block', () => {
    const block = new Float32Array(5).fill(9);
    mix(constant(0.25), constant(0.5)).fill(block);
    expect([...block]).toEqual([0.75, 0.75, 0.75, 0.75, 0.75]);
  });
});

describe('loop', () => {
  it('goes round, across blocks; silence for nothing', () => {
    const source = loop(Float32Array.of(1, 2, 3));
    expect([...take(source, 4), ...take(source, 4)]).toEqual([1, 2, 3, 1, 2, 3, 1, 2]);
    expect([...take(loop(new Float32Array(0)), 2)]).toEqual([0, 0]);
  });
});

describe('eventSource', () => {
  it('plays events one after another, cut where the pieces end', () => {
    let count = 0;
    const source = eventSource(() => {
      const value = ++count;
      if (value % 2 === 0) return pause(3);
      return {
        samples: 1000,
        addTo: (piece, at, from, to) => {
          for (let i = from; i < to; i++) piece[at + i - from] += value + i / 1000;
        },
      };
    });
    const out = take(source, 2006);
    expect(out[0]).toBe(1);
    expect(out[999]).toBeCloseTo(1.999, 6);
    expect([...out.subarray(1000, 1003)]).toEqual([0, 0, 0]);
    expect(out[1003]).toBe(3);
    expect(out[2002]).toBeCloseTo(3.999, 6);
    expect(out[2003]).toBe(0);
  });
});
