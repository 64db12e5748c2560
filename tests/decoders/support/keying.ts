import { PER_ELEMENT } from '../../../decoders/signal/fold.ts';
import type { Random } from '../../../decoders/simulate/random.ts';
import { elementsOf } from './soft.ts';

interface KeyingNoise {
  readonly sigma: number;
  readonly random: Random;
}

/** Values of the keying from the first start element on, as a correlator one element long gives them; positive = mark. */
export function clockedKeying(codes: readonly number[], stopElements: number, noise?: KeyingNoise): Float64Array {
  const borders: number[] = [];
  const states: number[] = [];
  let end = 0;
  for (const code of codes) {
    for (const [e, mark] of elementsOf(code).entries()) {
      end += (e === 6 ? stopElements : 1) * PER_ELEMENT;
      borders.push(end);
      states.push(mark === 1 ? 1 : -1);
    }
  }
  /** Integral of the keying from 0 to `place`. */
  const integral = (place: number): number => {
    let sum = 0;
    let from = 0;
    for (let i = 0; i < borders.length && from < place; i++) {
      sum += states[i] * (Math.min(borders[i], place) - from);
      from = borders[i];
    }
    return sum;
  };
  const sums = Float64Array.from({ length: Math.floor(end) + 1 }, (_, n) => integral(n));
  return Float64Array.from({ length: sums.length - PER_ELEMENT }, (_, n) => {
    const clean = (sums[n + PER_ELEMENT] - sums[n]) / PER_ELEMENT;
    return noise ? Math.max(-1, Math.min(1, clean + noise.sigma * noise.random.gaussian())) : clean;
  });
}

export const randomCodes = (count: number, random: Random): number[] =>
  Array.from({ length: count }, () => random.integer(32));
