import { describe, expect, test } from 'vitest';
import { toBaseband } from '../../../decoders/signal/burst-baseband.ts';
import { BurstElements } from '../../../decoders/signal/burst-elements.ts';
import type { Acquisition } from '../../../decoders/signal/types.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { demodulate } from '../../../decoders/teletype/demodulate.ts';
import { clockStarts, followsClock } from '../../../decoders/teletype/known-clock.ts';
import { noisyBurst, RATE_HZ } from '../../bench/support/signal.ts';

const CODES = encode('Q0DUN P 00042 7921 0130 412 388 000 000 11 NOM', 'ita2', { startShift: 'unknown' });
const ELEMENT_SECONDS = 0.022;
const CHARACTER_SECONDS = 7.5 * ELEMENT_SECONDS;

/** A burst in noise, and what a search for its beacon says: tones, place and rate of the clock a little off. */
function found(
  ebN0Db: number,
  seed: number,
  off: { readonly elements: number; readonly rate: number; readonly hz: number },
) {
  const signal = noisyBurst({ codes: CODES, ebN0Db, random: new Random(seed) });
  const firstSeconds = signal.burstTo / RATE_HZ - 6 * ELEMENT_SECONDS - CODES.length * CHARACTER_SECONDS;
  const acquisition: Acquisition = {
    startSeconds: firstSeconds,
    endSeconds: firstSeconds + CODES.length * CHARACTER_SECONDS,
    baud: 1 / ELEMENT_SECONDS,
    stopElements: 1.5,
    markHz: signal.markHz + off.hz,
    spaceHz: signal.spaceHz + off.hz,
    driftHzPerSecond: 0,
    characterPhaseSeconds: firstSeconds + off.elements * ELEMENT_SECONDS,
    characterPeriodSeconds: CHARACTER_SECONDS * (1 + off.rate),
    score: 7,
    knownCharacters: CODES.length,
  };
  return { ...signal, firstSeconds, acquisition };
}

describe('the clock', () => {
  function clockOf(seed: number, off: { readonly elements: number; readonly rate: number }) {
    const { samples, markHz, spaceHz, acquisition, firstSeconds } = found(1, seed, { ...off, hz: 0 });
    const centreHz = (markHz + spaceHz) / 2;
    const baseband = toBaseband(samples, {
      sampleRateHz: RATE_HZ,
      startSeconds: 0,
      centreHz,
      centreSeconds: 8,
      driftHzPerSecond: 0,
      baud: acquisition.baud,
      shiftHz: spaceHz - markHz,
    });
    const tones = { markOffsetHz: markHz - centreHz, spaceOffsetHz: spaceHz - centreHz };
    const elements = new BurstElements(baseband, tones, ELEMENT_SECONDS);
    elements.guessLevel(acquisition.startSeconds, acquisition.endSeconds);
    return { starts: clockStarts(elements, acquisition), firstSeconds, elements, acquisition };
  }

  test('is set by all elements together, at 1 dB where none can be trusted alone', () => {
    for (const [seed, off] of [
      [1, { elements: 0.2, rate: 0 }],
      [2, { elements: -0.2, rate: 0 }],
      [3, { elements: -0.3, rate: 0.0015 }],
      [4, { elements: 0.3, rate: -0.0015 }],
    ] as const) {
      const { starts, firstSeconds } = clockOf(seed, off);
      expect(starts).toHaveLength(CODES.length);
      for (const [k, start] of starts.entries()) {
        expect(Math.abs(start - firstSeconds - k * CHARACTER_SECONDS)).toBeLessThan(0.25 * ELEMENT_SECONDS);
      }
    }
  });

  test('is none where nothing is known', () => {
    const { elements, acquisition } = clockOf(1, { elements: 0, rate: 0 });
    const { knownCharacters: _, ...unknown } = acquisition;
    expect(clockStarts(elements, unknown)).toHaveLength(0);
  });
});

describe('characters follow a clock', () => {
  const ticks = Float64Array.from({ length: 20 }, (_, k) => 5 + 0.165 * k);
  test.each([
    ['where they are on it', ticks, true],
    ['with others around', Float64Array.of(4.8, ...ticks, 9, 9.2), true],
    ['with one missing', ticks.filter((_, k) => k !== 7), true],
    ['not with many missing', ticks.filter((_, k) => k % 4 !== 1), false],
    ['not half an element off', ticks.map((tick) => tick + 0.011), false],
    ['not where there are none', new Float64Array(0), false],
  ])('%s', (_, starts, follows) => {
    expect(followsClock(Float64Array.from(starts), ticks, ELEMENT_SECONDS)).toBe(follows);
  });
});

test('a known burst at 1 dB is demodulated on its clock, its tones true', () => {
  for (let seed = 20; seed < 30; seed++) {
    const { samples, markHz, spaceHz, firstSeconds, acquisition } = found(1, seed, { elements: 0.15, rate: 0, hz: 4 });
    const burst = demodulate({ samples, sampleRateHz: RATE_HZ, startSeconds: 0, acquisition });
    expect(burst).not.toBeNull();
    if (!burst) continue;
    expect(Math.abs(burst.markHz - markHz)).toBeLessThan(4);
    expect(burst.spaceHz - burst.markHz).toBeCloseTo(spaceHz - markHz, 3);
    expect(burst.stopElements).toBe(1.5);
    const onClock = Array.from(burst.soft.startSeconds).filter((start) => {
      const characters = (start - firstSeconds) / CHARACTER_SECONDS;
      return Math.abs(characters - Math.round(characters)) * 7.5 < 0.3;
    });
    expect(onClock.length).toBeGreaterThanOrEqual(0.9 * CODES.length);
  }
});
