import { describe, expect, test } from 'vitest';
import { BandRecogniser, windowFrames } from '../../../decoders/iq/recognise.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { MATERIALS } from '../../bench/support/material.ts';
import { ARRANGEMENTS, heardOf } from '../../bench/support/stereo.ts';
import { bandOf, bandTexts } from '../support/band.ts';

const RATE = 48_000;
type Channels = readonly [Float32Array, Float32Array];

function verdictOf([first, second]: Channels, rateHz = RATE): string {
  const recogniser = new BandRecogniser(rateHz);
  for (let at = 0; at < first.length; at += 4096) {
    recogniser.add(first.subarray(at, at + 4096), second.subarray(at, at + 4096));
  }
  return recogniser.verdict;
}

const LENGTH = 2 * windowFrames(RATE);
const random = new Random(4);
const noise = (gain = 0.1) => Float32Array.from({ length: LENGTH }, () => gain * random.gaussian());
const tone = (hz: number, phase: number, gain = 0.1) =>
  Float32Array.from({ length: LENGTH }, (_, n) => gain * Math.cos((2 * Math.PI * hz * n) / RATE + phase));
const sum = (...all: readonly Float32Array[]) =>
  Float32Array.from({ length: LENGTH }, (_, i) => all.reduce((y, each) => y + each[i], 0));

/** Noise as microphones hear a room: the lower, the louder. */
function room(gain = 1): Float32Array {
  let low = 0;
  return noise(gain).map((x) => {
    low = 0.95 * low + x;
    return low;
  });
}

describe('two channels are a complex band', () => {
  test.each(['fsk', 'fm'] as const)('when a beacon stands in it: %s', (kind) => {
    const modulation = kind === 'fm' ? { kind, peakDeviationHz: 3000 } : { kind };
    const { data } = bandOf({
      texts: bandTexts(1),
      modulation,
      cn0DbHz: 45,
      carrierHz: 145.907e6,
      centerHz: 145.9e6,
      sampleRateHz: RATE,
    });
    const words = new Int16Array(new Uint8Array(data).buffer);
    const part = (which: number) =>
      Float32Array.from({ length: words.length / 2 }, (_, i) => words[2 * i + which] / 32_768);
    expect(verdictOf([part(0), part(1)])).toBe('band');
    expect(verdictOf([part(1), part(0)])).toBe('band');
    // At the rates of narrow sound nothing is certain.
    expect(verdictOf([part(0), part(1)], 24_000)).not.toBe('band');
  });
});

describe('two channels of sound are none', () => {
  const voice = room();
  const delayed = (by: number) => Float32Array.from({ length: LENGTH }, (_, n) => voice[n - by] ?? 0);
  const cases: Record<string, Channels> = {
    'the same twice': [voice, voice],
    'one upside down': [voice, voice.map((x) => -x)],
    'one panned': [
      sum(voice, noise(0.01)),
      sum(
        voice.map((x) => 0.4 * x),
        noise(0.01),
      ),
    ],
    'one a little later, as two microphones hear it': [sum(voice, noise(0.02)), sum(delayed(17), noise(0.02))],
    'two rooms': [room(), room()],
    'one voice, one silent channel': [voice, new Float32Array(LENGTH)],
    silence: [new Float32Array(LENGTH), new Float32Array(LENGTH)],
    'hiss of two receivers': [noise(), noise()],
    'hiss of two receivers, one louder': [noise(), noise(0.15)],
    'a tone in both, in any phase, in hiss': [sum(noise(), tone(1000, 0)), sum(noise(), tone(1000, 1))],
    'tones in quadrature, without a floor of noise': [
      sum(tone(800, 0), tone(1275, 0), tone(2125, 0), tone(5000, 0)),
      sum(tone(800, -Math.PI / 2), tone(1275, -Math.PI / 2), tone(2125, -Math.PI / 2), tone(5000, -Math.PI / 2)),
    ],
    'a sine and its cosine in a quiet room': [
      sum(room(0.01), tone(1000, 0)),
      sum(room(0.01), tone(1000, -Math.PI / 2)),
    ],
  };
  test.each(Object.keys(cases))('%s', (name) => {
    expect(verdictOf(cases[name])).not.toBe('band');
  });

  test('and what two microphones share is told in one window', () => {
    for (const name of ['the same twice', 'one panned', 'one a little later, as two microphones hear it']) {
      expect(verdictOf(cases[name])).toBe('sound');
    }
  });

  // Tones that stand in quadrature on two channels, in white hiss: a band but for what a delay or chance makes of them.
  test.each([
    ['carriers on both tones, in noise', 'one each'],
    ['carriers on both tones, in noise', 'one each, hiss'],
    ['Morse', 'delayed by 12'],
    ['Morse', 'delayed by 12, loud hiss'],
  ])('%s, %s', (name, how) => {
    const material = MATERIALS.find((each) => each.name === name);
    expect(material).toBeDefined();
    if (material === undefined) return;
    expect(verdictOf(ARRANGEMENTS[how](heardOf(material, RATE, 3 * windowFrames(RATE), 1)))).not.toBe('band');
  });

  test('keyed tones delayed by a quarter of their wave, in hiss', () => {
    const keyed = MATERIALS.find(({ name }) => name === 'synchronous FSK');
    if (keyed === undefined) throw new Error('no such material');
    const { one } = heardOf(keyed, RATE, LENGTH, 5);
    for (let by = 6; by <= 21; by += 5) {
      const late = Float32Array.from({ length: LENGTH }, (_, n) => one[n - by] ?? 0);
      expect(verdictOf([sum(one, noise()), sum(late, noise())])).not.toBe('band');
    }
  });
});
