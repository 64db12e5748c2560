import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../../decoders/audio/wav-write.ts';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { addNoiseAtEbN0 } from '../../../decoders/simulate/channel.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { keyBurst } from '../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { charactersOf, hear, textOf } from '../support/live.ts';
import { digitFrame, missionOf } from '../support/missions.ts';
import { decodeBytes } from '../support/wav.ts';

const BAUD = 500 / 11;
const MISSION = missionOf({ a: digitFrame('crc-16/ibm-3740') });
const TEXT = renderFrame(MISSION, 'a', Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, 1111 * i])));
/** What the product promises. */
const MOST_LATE_SECONDS = 0.5;

interface Scene {
  readonly sampleRateHz: number;
  readonly ebN0Db: number;
  readonly seed: number;
  readonly driftHzPerSecond?: number;
  readonly isSquelched?: boolean;
}

/** The frame twice with three seconds between, noise all through or, with a squelch, only while the sender sends. */
function scene({ sampleRateHz, ebN0Db, seed, driftHzPerSecond = 0, isSquelched = false }: Scene): Float32Array {
  const random = new Random(seed);
  const burst = keyBurst(encode(TEXT, 'ita2', { startShift: 'unknown' }), {
    sampleRateHz,
    baud: BAUD,
    stopElements: 1.5,
    markHz: 1275,
    spaceHz: 1445,
    amplitude: 0.2,
    leadMarkElements: 9,
    tailMarkElements: 9,
    driftHzPerSecond,
  });
  const noise = { ebN0Db, baud: BAUD, sampleRateHz, signalPower: 0.02, random };
  if (isSquelched) addNoiseAtEbN0(burst, noise);
  const samples = new Float32Array(2 * burst.length + 7 * sampleRateHz);
  samples.set(burst, 2 * sampleRateHz);
  samples.set(burst, burst.length + 5 * sampleRateHz);
  if (!isSquelched) addNoiseAtEbN0(samples, noise);
  return samples;
}

const settledOf = (heard: ReturnType<typeof hear>) =>
  heard.flatMap(({ event }) => (event.type === 'burst' ? [{ burst: event.burst, frames: event.frames }] : []));

describe('with the mission loaded', () => {
  test.each([8000, 44_100, 48_000])('at %d Hz each character comes within half a second', (sampleRateHz) => {
    const samples = scene({ sampleRateHz, ebN0Db: 12, seed: 1 });
    const characters = charactersOf(hear(samples, { sampleRateHz, missions: [MISSION] }));
    expect(textOf(characters)).toBe(TEXT + TEXT);
    expect(Math.max(...characters.map(({ lateSeconds }) => lateSeconds))).toBeLessThan(MOST_LATE_SECONDS);
    expect(characters.every(({ provisional, elementLlr }) => provisional && elementLlr.length === 7)).toBe(true);
  });

  test('so they do near the end of good reception, the first ones too', () => {
    const samples = scene({ sampleRateHz: 8000, ebN0Db: 10, seed: 11 });
    const characters = charactersOf(hear(samples, { sampleRateHz: 8000, missions: [MISSION] }));
    expect(textOf(characters).startsWith('Q0D')).toBe(true);
    expect(Math.max(...characters.map(({ lateSeconds }) => lateSeconds))).toBeLessThan(MOST_LATE_SECONDS);
  });

  test.each([12, 13])('where one element in twenty-five is wrong, the first ones still do (seed %d)', (seed) => {
    const samples = scene({ sampleRateHz: 8000, ebN0Db: 7, seed });
    const characters = charactersOf(hear(samples, { sampleRateHz: 8000, missions: [MISSION] }));
    for (const reception of [0, 1]) {
      const first = characters.filter((character) => character.reception === reception).slice(0, 3);
      expect(first.map(({ slot }) => slot)).toEqual([0, 1, 2]);
      expect(Math.max(...first.map(({ lateSeconds }) => lateSeconds))).toBeLessThan(MOST_LATE_SECONDS);
    }
  });

  test('so they do behind a squelch', () => {
    const samples = scene({ sampleRateHz: 8000, ebN0Db: 12, seed: 2, isSquelched: true });
    const characters = charactersOf(hear(samples, { sampleRateHz: 8000, missions: [MISSION] }));
    expect(textOf(characters)).toBe(TEXT + TEXT);
    expect(Math.max(...characters.map(({ lateSeconds }) => lateSeconds))).toBeLessThan(MOST_LATE_SECONDS);
  });

  test('frames are guessed as soon as the sender pauses, and the burst bears them out', () => {
    const samples = scene({ sampleRateHz: 8000, ebN0Db: 12, seed: 3 });
    const heard = hear(samples, { sampleRateHz: 8000, missions: [MISSION] });
    const guessed = heard.flatMap(({ event, atSeconds }) => (event.type === 'frames' ? [{ ...event, atSeconds }] : []));
    expect(guessed.map(({ frames }) => frames.map(({ frame }) => frame.text))).toEqual([[TEXT], [TEXT]]);
    for (const { frames, atSeconds } of guessed) {
      expect(atSeconds - frames[0].frame.endSeconds).toBeLessThan(1);
    }
    const bursts = heard.flatMap(({ event }) => (event.type === 'burst' ? [event] : []));
    expect(bursts.map(({ receptions }) => receptions)).toEqual([[0], [1]]);
    expect(bursts.map(({ frames }) => frames.map(({ frame }) => frame.trust))).toEqual([['confirmed'], ['confirmed']]);
  });
});

describe('without a mission', () => {
  test.each([0, 10])('a sender drifting %d Hz/s is read from when it was found', (driftHzPerSecond) => {
    const samples = scene({ sampleRateHz: 8000, ebN0Db: 12, seed: 4, driftHzPerSecond });
    const heard = hear(samples, { sampleRateHz: 8000, missions: [] });
    const found = heard.find(({ event }) => event.type === 'acquired');
    if (!found) throw new Error('nothing was found');
    const characters = charactersOf(heard).filter(({ reception }) => reception === 0);
    // What was sent before is caught up on.
    expect(textOf(characters)).toBe(TEXT);
    const after = characters.filter(({ endSeconds }) => endSeconds > found.atSeconds);
    expect(after.length).toBeGreaterThan(20);
    expect(Math.max(...after.map(({ lateSeconds }) => lateSeconds))).toBeLessThan(MOST_LATE_SECONDS);
  });
});

describe('what is settled', () => {
  const samples = scene({ sampleRateHz: 11_025, ebN0Db: 8, seed: 5, isSquelched: true });
  const options = { missions: [MISSION], startedAt: '2031-03-01T10:00:00Z' };
  const whole = hear(samples, { ...options, sampleRateHz: 11_025 }, [4096]);

  test('is what a recording of the same samples gives, to the bit', () => {
    const wav = encodeWav(samples, { sampleRateHz: 11_025, format: 'float32' });
    const { bursts } = decodeBytes(wav, options);
    expect(bursts).toHaveLength(2);
    expect(settledOf(whole)).toEqual(bursts.map(({ burst, frames }) => ({ burst, frames })));
  });

  test.each([[[1000]], [[1, 4095, 33, 7777]], [[100_000]]])('is the same in blocks of %j, guesses too', (sizes) => {
    const events = hear(samples, { ...options, sampleRateHz: 11_025 }, sizes).map(({ event }) => event);
    expect(events).toEqual(whole.map(({ event }) => event));
  });
});

test('noise brings no characters', () => {
  const noise = new Float32Array(60 * 8000);
  new Random(6).addGaussian(noise, 0.1);
  const heard = hear(noise, { sampleRateHz: 8000, missions: [MISSION] }, [4096]);
  expect(heard.filter(({ event }) => event.type !== 'level')).toEqual([]);
  expect(heard.filter(({ event }) => event.type === 'level')).toHaveLength(599);
});
