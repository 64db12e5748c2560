import { describe, expect, it } from 'vitest';
import type { Gain } from '../../../decoders/simulate/gain.ts';
import { KeyedCarrier } from '../../../decoders/simulate/keyed-carrier.ts';

const times = [
  { startSeconds: 1, endSeconds: 2 },
  { startSeconds: 2.5, endSeconds: 3 },
];

describe('KeyedCarrier', () => {
  it('is on while the sender is', () => {
    const carrier = new KeyedCarrier(times, null);
    const powers = [0, 0.9, 1, 1.9, 2, 2.6, 3, 9].map((second) => {
      carrier.moveTo(second);
      return carrier.re ** 2 + carrier.im ** 2;
    });
    expect(powers).toEqual([0, 0, 1, 1, 0, 1, 0, 0]);
  });

  it('goes over its path', () => {
    const path: Gain & { re: number } = {
      re: 0,
      im: -1,
      moveTo(seconds) {
        this.re = seconds;
      },
    };
    const carrier = new KeyedCarrier(times, path);
    carrier.moveTo(1.5);
    expect([carrier.re, carrier.im]).toEqual([1.5, -1]);
    carrier.moveTo(2);
    expect([carrier.re, carrier.im]).toEqual([0, 0]);
  });
});
