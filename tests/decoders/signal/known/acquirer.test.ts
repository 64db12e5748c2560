import { describe, expect, test } from 'vitest';
import { knownBeacons } from '../../../../decoders/frames/known-beacons.ts';
import { createKnownAcquirer } from '../../../../decoders/signal/known/acquirer.ts';
import type { Acquisition } from '../../../../decoders/signal/types.ts';
import { arpeggios, speech, synchronousFsk, whiteNoise } from '../../../../decoders/simulate/material/index.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';
import { noisyBurst, RATE_HZ } from '../../../bench/support/signal.ts';
import { digitFrame, missionOf } from '../../support/missions.ts';

const [BEACON] = knownBeacons([missionOf({ a: digitFrame(null) })], null);

function acquire(samples: Float32Array, piece = samples.length): Acquisition[] {
  const acquirer = createKnownAcquirer(BEACON);
  const found: Acquisition[] = [];
  for (let at = 0; at < samples.length; at += piece) {
    acquirer.push(samples.subarray(at, at + piece), (each) => found.push(each));
  }
  acquirer.end((each) => found.push(each));
  return found;
}

/** The text on the mission's channel, tones off by up to 50 Hz, at 1275 and 1445 Hz and 45.45 Bd. */
function burst(text: string, ebN0Db: number, seed: number) {
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const signal = noisyBurst({ codes, ebN0Db, random: new Random(seed) });
  // Six elements of idle mark end it; its first code is the shift before the frame's first character.
  const endSeconds = signal.burstTo / RATE_HZ - 6 * 0.022;
  return { ...signal, startSeconds: endSeconds - (codes.length - 1) * 7.5 * 0.022, endSeconds };
}

function frame(random: Random): string {
  return `Q0DUN A ${Array.from({ length: 9 }, () => `${random.integer(10_000)}`.padStart(4, '0')).join(' ')}`;
}

test('transmissions at 1 dB Eb/N0 are found where they are', () => {
  for (let seed = 1; seed <= 12; seed++) {
    const { samples, markHz, spaceHz, startSeconds, endSeconds } = burst(frame(new Random(seed)), 1, seed);
    const found = acquire(samples);
    expect(found).toHaveLength(1);
    expect(Math.abs(found[0].markHz - markHz)).toBeLessThan(9);
    expect(Math.abs(found[0].spaceHz - spaceHz)).toBeLessThan(9);
    expect(Math.abs(found[0].startSeconds - startSeconds)).toBeLessThan(0.4 * 0.022);
    expect(Math.abs(found[0].endSeconds - endSeconds)).toBeLessThan(0.2);
    expect(found[0].knownCharacters).toBe(55);
  }
});

test('of clear transmissions the tones are found, not their side lobes', () => {
  for (let seed = 1; seed <= 8; seed++) {
    const { samples, markHz } = burst(frame(new Random(seed)), 15, 40 + seed);
    const found = acquire(samples);
    expect(found).toHaveLength(1);
    expect(Math.abs(found[0].markHz - markHz)).toBeLessThan(2);
  }
});

test('the same in pieces of any size', () => {
  const { samples } = burst(frame(new Random(3)), 3, 3);
  const whole = acquire(samples);
  expect(whole).toHaveLength(1);
  for (const piece of [999, 8000]) expect(acquire(samples, piece)).toEqual(whole);
});

test('tells how far it has come', () => {
  const acquirer = createKnownAcquirer(BEACON);
  const { samples, startSeconds } = burst(frame(new Random(4)), 6, 4);
  const longer = new Float32Array(60 * RATE_HZ);
  longer.set(samples);
  const found: { at: number; startSeconds: number }[] = [];
  for (let second = 0; second < 60; second++) {
    const before = acquirer.settledSeconds;
    acquirer.push(longer.subarray(second * RATE_HZ, (second + 1) * RATE_HZ), (each) => {
      found.push({ at: before, startSeconds: each.startSeconds });
    });
    expect(acquirer.settledSeconds).toBeGreaterThanOrEqual(before);
  }
  expect(found).toHaveLength(1);
  expect(Math.abs(found[0].startSeconds - startSeconds)).toBeLessThan(0.01);
  expect(found[0].at).toBeLessThanOrEqual(found[0].startSeconds);
  expect(acquirer.settledSeconds).toBeGreaterThan(20);
});

describe('nothing is found in', () => {
  const options = { sampleRateHz: RATE_HZ, seed: 11 };
  test.each([
    ['noise', whiteNoise({ ...options, gain: 0.3 })],
    ['speech', speech(options)],
    ['arpeggios', arpeggios(options)],
    ['synchronous keying', synchronousFsk(options)],
  ])('%s', (_, source) => {
    const samples = new Float32Array(120 * RATE_HZ);
    source.fill(samples);
    expect(acquire(samples)).toEqual([]);
  });

  test('another text on the same channel, however clear', () => {
    const random = new Random(5);
    for (const ebN0Db of [6, 20]) {
      const text = Array.from({ length: 60 }, () => random.pick([...'ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789'])).join('');
      expect(acquire(burst(text, ebN0Db, 6).samples)).toEqual([]);
    }
  });

  test('silence', () => {
    expect(acquire(new Float32Array(40 * RATE_HZ))).toEqual([]);
  });
});
