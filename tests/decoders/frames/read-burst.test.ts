import { describe, expect, test } from 'vitest';
import { readBurstFrames } from '../../../decoders/frames/read-burst.ts';
import { renderFrame } from '../../../decoders/frames/render.ts';
import type { PhaseLaw } from '../../../decoders/simulate/transmitter.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import { demodulate } from '../../../decoders/teletype/demodulate.ts';
import { keyed } from '../support/keyed.ts';
import { digitFrame, missionOf } from '../support/missions.ts';

const MISSION = missionOf({ a: digitFrame('crc-16/ibm-3740') });

function read(ebN0Db: number, seed: number, phase: PhaseLaw) {
  const text = renderFrame(
    MISSION,
    'a',
    Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, 1009 * i + seed])),
  );
  const codes = encode(text, 'ita2', { startShift: 'unknown' });
  const signal = demodulate(keyed({ codes, baud: 500 / 11, shiftHz: 170, ebN0Db, seed, phase }));
  return { text, result: signal && readBurstFrames(signal, [MISSION]) };
}

describe('readBurstFrames', () => {
  test('reads a phase-continuous sender at 4 dB, where elements alone give none', () => {
    let confirmed = 0;
    for (let seed = 1; seed <= 4; seed++) {
      const { text, result } = read(4, seed, 'continuous');
      for (const { frame, fromSlot, toSlot } of result?.frames ?? []) {
        if (frame.trust !== 'confirmed') continue;
        expect(frame.text).toBe(text);
        for (const { slot } of frame.characters) {
          expect(slot).toBeGreaterThanOrEqual(fromSlot);
          expect(slot).toBeLessThan(toSlot + 3);
          expect(slot).toBeLessThan(result?.soft.count ?? 0);
        }
        confirmed++;
      }
    }
    expect(confirmed).toBeGreaterThanOrEqual(3);
  });

  test('a sender whose phase jumps gains nothing from it, and nothing false is confirmed', () => {
    for (let seed = 1; seed <= 3; seed++) {
      const { text, result } = read(6, seed, 'random');
      for (const { frame } of result?.frames ?? []) {
        if (frame.trust === 'confirmed') expect(frame.text).toBe(text);
      }
    }
  });

  test('what a sender repeats within its burst is one frame', () => {
    const layout = digitFrame('crc-8/smbus', 2);
    const twice = missionOf({}, {}, { frames: [{ id: 'a', layout, repeats: 2 }] });
    const text = renderFrame(twice, 'a', Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, 307 * i])));
    const codes = encode(`${text}\r\n${text}`, 'ita2', { startShift: 'unknown' });
    const signal = demodulate(keyed({ codes, baud: 500 / 11, shiftHz: 170, ebN0Db: 9, seed: 7, phase: 'random' }));
    const frames = signal && readBurstFrames(signal, [twice])?.frames;
    expect(frames?.map(({ frame }) => [frame.text, frame.trust])).toEqual([[text, 'confirmed']]);
    expect(frames?.[0].repetitions).toHaveLength(2);
  });

  test('a faint burst is one only where its phase bears it out', () => {
    const read = (phase: PhaseLaw) => {
      const text = renderFrame(
        MISSION,
        'a',
        Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, 307 * i])),
      );
      const codes = encode(text, 'ita2', { startShift: 'unknown' });
      const signal = demodulate(keyed({ codes, baud: 500 / 11, shiftHz: 170, ebN0Db: 6, seed: 3, phase }));
      const knownStartSeconds = signal?.soft.startSeconds[0] ?? null;
      return signal && readBurstFrames({ ...signal, isFaint: true, knownStartSeconds }, [MISSION]);
    };
    expect(read('continuous')?.frames).toHaveLength(1);
    expect(read('random')).toBeNull();
  });

  test('without a mission there are no frames', () => {
    const signal = demodulate(
      keyed({ codes: encode('RYRYRYRYRYRYRYRYRYRY', 'ita2'), baud: 50, shiftHz: 170, seed: 1 }),
    );
    expect(signal && readBurstFrames(signal, [])?.frames).toEqual([]);
  });
});
