import { Random } from '../../../decoders/simulate/random.ts';
import { take } from '../../../decoders/simulate/source.ts';
import type { Material } from './material.ts';

export type Stereo = readonly [Float32Array, Float32Array];

const FAINT_HISS = 0.01;
const HISS = 0.02;
const LOUD_HISS = 0.3;
const PANNED = 0.35;
const CROSSTALK = 0.4;

interface Heard {
  readonly one: Float32Array;
  readonly other: Float32Array;
  /** White noise, another each time. */
  readonly hiss: (gain: number) => Float32Array;
}

/** How one sound, or two, come to stand on two channels. */
export const ARRANGEMENTS: Readonly<Record<string, (heard: Heard) => Stereo>> = {
  panned: ({ one }) => [one, scaled(one, PANNED)],
  'panned, hiss': ({ one, hiss }) => [sum(one, hiss(FAINT_HISS)), sum(scaled(one, PANNED), hiss(FAINT_HISS))],
  'delayed by 1': ({ one, hiss }) => [sum(one, hiss(FAINT_HISS)), sum(delayed(one, 1), hiss(FAINT_HISS))],
  'delayed by 12': ({ one, hiss }) => [sum(one, hiss(FAINT_HISS)), sum(delayed(one, 12), hiss(FAINT_HISS))],
  'delayed by 12, loud hiss': ({ one, hiss }) => [sum(one, hiss(LOUD_HISS)), sum(delayed(one, 12), hiss(LOUD_HISS))],
  'delayed by 300': ({ one, hiss }) => [
    sum(one, hiss(FAINT_HISS)),
    sum(scaled(delayed(one, 300), 0.7), hiss(FAINT_HISS)),
  ],
  'two crossed': ({ one, other }) => [sum(one, scaled(other, CROSSTALK)), sum(other, scaled(one, CROSSTALK))],
  'two crossed and delayed, hiss': ({ one, other, hiss }) => [
    sum(one, scaled(delayed(other, 20), CROSSTALK), hiss(HISS)),
    sum(other, scaled(delayed(one, 20), CROSSTALK), hiss(HISS)),
  ],
  'one each': ({ one, other }) => [one, other],
  'one each, hiss': ({ one, other, hiss }) => [sum(one, hiss(HISS)), sum(other, hiss(HISS))],
};

/** What there is to arrange, of a material. */
export function heardOf(material: Material, sampleRateHz: number, frames: number, seed: number): Heard {
  const random = new Random(seed + 7);
  return {
    one: take(material.make({ sampleRateHz, seed }), frames),
    other: take(material.make({ sampleRateHz, seed: seed + 100 }), frames),
    hiss: (gain) => Float32Array.from({ length: frames }, () => gain * random.gaussian()),
  };
}

function scaled(samples: Float32Array, gain: number): Float32Array {
  return samples.map((x) => gain * x);
}

function delayed(samples: Float32Array, by: number): Float32Array {
  const out = new Float32Array(samples.length);
  out.set(samples.subarray(0, samples.length - by), by);
  return out;
}

function sum(...all: readonly Float32Array[]): Float32Array {
  return Float32Array.from({ length: all[0].length }, (_, i) => all.reduce((y, each) => y + each[i], 0));
}
