import { describe, expect, test } from 'vitest';
import { matchFrames } from '../../../decoders/frames/match.ts';
import { renderFrame } from '../../../decoders/frames/render.ts';
import { combineRepeats } from '../../../decoders/frames/repeats.ts';
import { Random } from '../../../decoders/simulate/random.ts';
import { encode } from '../../../decoders/teletype/alphabets.ts';
import type { SoftCharacters } from '../../../decoders/teletype/types.ts';
import { digitFrame, missionOf } from '../support/missions.ts';
import { heard, sliceSlots } from '../support/soft.ts';

const layout = digitFrame('crc-8/smbus', 2);
const TWICE = missionOf({}, {}, { frames: [{ id: 'a', layout, repeats: 2 }] });
const THRICE = missionOf({}, {}, { frames: [{ id: 'a', layout, repeats: 3 }] });
const ONCE = missionOf({ a: layout });

const textOf = (seed: number) =>
  renderFrame(
    ONCE,
    'a',
    Object.fromEntries(Array.from({ length: 9 }, (_, i) => [`f${i}`, (seed * 4243 * (i + 1)) % 10_000])),
  );
const burstOf = (texts: readonly string[], ebN0Db: number, seed: number): SoftCharacters =>
  heard([31, 31, ...encode(texts.join('\r\n'), 'ita2', { startShift: 'unknown' }), 31], ebN0Db, new Random(seed));
const read = (soft: SoftCharacters, mission: typeof ONCE) =>
  combineRepeats(matchFrames(soft, [mission]), soft, [mission]);

describe('combineRepeats', () => {
  test('a frame sent twice is one, and surer than either', () => {
    let confirmed = 0;
    for (let seed = 1; seed <= 4; seed++) {
      const soft = burstOf([textOf(seed), textOf(seed)], 8, seed);
      const [found, ...more] = read(soft, TWICE);
      expect(more).toEqual([]);
      expect(found.repetitions?.map(({ belonging }) => belonging)).toEqual(['belongs', 'belongs']);
      const alone = found.repetitions?.map((each) => each.alone?.confidence ?? 0) ?? [];
      if (found.frame.trust !== 'confirmed') continue;
      expect(found.frame.text).toBe(textOf(seed));
      expect(found.frame.confidence).toBeGreaterThan(Math.max(...alone) - 1e-4);
      confirmed++;
    }
    expect(confirmed).toBeGreaterThanOrEqual(3);
  });

  test('frames stand in the burst where one of the repetitions stands', () => {
    const soft = burstOf([textOf(5), textOf(5)], 12, 5);
    const [found] = read(soft, TWICE);
    const slots = found.frame.characters.map(({ slot }) => slot);
    expect(found.repetitions?.some((each) => each.slots.join() === slots.join())).toBe(true);
    expect(Math.min(...slots)).toBeGreaterThanOrEqual(found.fromSlot);
    expect(Math.max(...slots)).toBeLessThan(found.toSlot);
  });

  test('two texts, each sent twice, are two frames', () => {
    const soft = burstOf([textOf(1), textOf(1), textOf(2), textOf(2)], 11, 1);
    const found = read(soft, TWICE);
    expect(found.map(({ frame }) => frame.text)).toEqual([textOf(1), textOf(2)]);
    for (const { frame, repetitions } of found) {
      expect(frame.trust).toBe('confirmed');
      expect(repetitions).toHaveLength(2);
    }
  });

  test('of a text whose first repetition was missed the next is not taken for its second', () => {
    const found = read(burstOf([textOf(1), textOf(2), textOf(2)], 11, 2), TWICE);
    expect(found.map(({ frame }) => frame.text)).toEqual([textOf(1), textOf(2)]);
    expect(found.map(({ repetitions }) => repetitions?.length)).toEqual([undefined, 2]);
  });

  test('a repetition of which only the end was heard helps', () => {
    const whole = burstOf([textOf(3), textOf(3)], 9, 3);
    const soft = sliceSlots(whole, 50, whole.count);
    const [found, ...more] = read(soft, TWICE);
    expect(more).toEqual([]);
    expect(found.frame).toMatchObject({ text: textOf(3), complete: true });
    expect(found.repetitions).toHaveLength(2);
  });

  test('three times is three copies; once, or by a layout that says nothing of it, stays as it is', () => {
    const thrice = burstOf([textOf(4), textOf(4), textOf(4)], 10, 4);
    expect(read(thrice, THRICE)[0].repetitions).toHaveLength(3);
    expect(read(thrice, ONCE)).toEqual(matchFrames(thrice, [ONCE]));
    const once = burstOf([textOf(4)], 10, 5);
    expect(read(once, TWICE)).toEqual(matchFrames(once, [TWICE]));
  });
});
