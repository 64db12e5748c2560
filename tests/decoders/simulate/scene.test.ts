import { describe, expect, it } from 'vitest';
import { scene } from '../../../decoders/simulate/scene.ts';
import { loop, take } from '../../../decoders/simulate/source.ts';

const background = () => loop(Float32Array.of(1));
const at = (startSeconds: number, ...samples: number[]) => ({ startSeconds, make: () => Float32Array.from(samples) });

describe('scene', () => {
  it('places sounds over the background, overlapping, in any order, across blocks', () => {
    const sounds = [at(0.5, 20, 30), at(0.2, 1, 2, 3, 4, 5)];
    const wanted = [1, 1, 2, 3, 4, 25, 36, 1, 1, 1];
    expect([...take(scene(background(), sounds, 10), 10)]).toEqual(wanted);
    const source = scene(background(), sounds, 10);
    expect([3, 1, 2, 4].flatMap((length) => [...take(source, length)])).toEqual(wanted);
  });

  it('tells a sound how far behind its first sample it begins', () => {
    const offsets: number[] = [];
    const make = (offset: number) => {
      offsets.push(offset);
      return Float32Array.of(7);
    };
    const out = take(scene(background(), [{ startSeconds: 0.25, make }], 10), 5);
    expect(offsets[0]).toBeCloseTo(0.5, 9);
    expect([...out]).toEqual([1, 1, 8, 1, 1]);
  });

  it('makes a sound when its time comes and not before', () => {
    let made = 0;
    const make = () => {
      made++;
      return Float32Array.of(1, 1);
    };
    const source = scene(background(), [{ startSeconds: 1, make }], 10);
    take(source, 10);
    expect(made).toBe(0);
    take(source, 10);
    expect(made).toBe(1);
  });

  it('refuses a place before the start', () => {
    expect(() => scene(background(), [at(-1, 1)], 10)).toThrow(expect.objectContaining({ code: 'bad-place' }));
  });
});
