import { expect, test } from 'vitest';
import { readByTone } from '../../../../decoders/frames/deep/read-by-tone.ts';
import { matchFrames } from '../../../../decoders/frames/match.ts';
import { renderFrame } from '../../../../decoders/frames/render.ts';
import type { PhaseLaw } from '../../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../../decoders/teletype/alphabets.ts';
import { demodulate } from '../../../../decoders/teletype/demodulate.ts';
import { keyed } from '../../support/keyed.ts';
import { digitFrame, missionOf } from '../../support/missions.ts';

const MISSION = missionOf({ a: digitFrame('crc-16/ibm-3740') });
const TEXT = renderFrame(
  MISSION,
  'a',
  Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, 1009 * i + 7])),
);

function heard(phase: PhaseLaw, seed: number) {
  const codes = encode(TEXT, 'ita2', { startShift: 'unknown' });
  const signal = demodulate(keyed({ codes, baud: 500 / 11, shiftHz: 170, ebN0Db: 7, seed, phase }));
  if (!signal) throw new Error('no burst');
  return signal;
}

test.each(['switched', 'random'] as const)(
  'a sender of %s phase, which holds as long as its tone, is read at 7 dB, where elements alone leave doubt',
  (phase) => {
    const confirmed = (likelihoods: boolean) =>
      [1, 2, 3, 4, 5, 6].filter((seed) => {
        const signal = heard(phase, seed);
        const weighed = likelihoods ? readByTone(signal) : null;
        const frames = matchFrames(signal.soft, [MISSION], weighed ? { likelihoods: weighed.likelihoods } : {});
        for (const { frame } of frames) if (frame.trust === 'confirmed') expect(frame.text).toBe(TEXT);
        return frames.some(({ frame }) => frame.trust === 'confirmed');
      }).length;
    const byTone = confirmed(true);
    expect(byTone).toBeGreaterThanOrEqual(4);
    expect(byTone).toBeGreaterThan(confirmed(false));
  },
);

test.each([
  ['switched', 'as-oscillators'],
  ['random', 'as-tone'],
] as const)('a sender of %s phase is known for what it is', (phase, holds) => {
  for (const seed of [1, 2, 3, 4]) expect(readByTone(heard(phase, seed))?.holds).toBe(holds);
});
