import { expect, test } from 'vitest';
import { recordingBurst, slotsUnder, tapeSlots } from '../../../../server/http/views/tape-view.ts';
import type { StoredFrame } from '../../../../server/store/records.ts';
import { burstOf, decodedFrame, NOON, newFrame } from '../../support/records.ts';

function storedFrame(text: string, slots: readonly number[]): StoredFrame {
  const characters = [...text].map((character, i) => ({ text: character, slot: slots[i], confidence: 1, field: null }));
  const { readings: _, ...frame } = newFrame(NOON, [], { decoded: decodedFrame({ text, characters }) });
  return { ...frame, id: 1, addedAt: NOON, source: { kind: 'recording', recording: 1, burst: 0 }, readingsVersion: 1 };
}

test('a column of the tape holds seven elements and its time', () => {
  const burst = burstOf('ABC');
  const columns = tapeSlots(burst);
  expect(columns).toHaveLength(3);
  expect(columns[1].elements).toEqual([...burst.soft.elementLlr.subarray(7, 14)]);
  expect(columns[1].startSeconds).toBe(burst.soft.startSeconds[1]);
  expect(tapeSlots(burst, new Set([2, 9])).map(({ slot }) => slot)).toEqual([2]);
});

test('the shifts between the characters of a frame belong to it', () => {
  expect([...slotsUnder([storedFrame('AB', [2, 5])])]).toEqual([2, 3, 4, 5]);
  expect([...slotsUnder([storedFrame('', [])])]).toEqual([]);
  expect([...slotsUnder([])]).toEqual([]);
});

test('others see of a burst what lies under its frames', () => {
  const stored = { index: 0, burst: { ...burstOf('HI AB BYE'), alternativeText: 'HI 12 BYE' } };
  const frames = [storedFrame('AB', [3, 4])];
  const open = recordingBurst(stored, frames, false);
  expect(open).toMatchObject({ withheld: true, text: 'AB', alternativeText: null });
  expect(open.slots.map(({ slot }) => slot)).toEqual([3, 4]);
  const whole = recordingBurst(stored, frames, true);
  expect(whole).toMatchObject({ withheld: false, text: 'HI AB BYE', alternativeText: 'HI 12 BYE' });
  expect(whole.slots).toHaveLength(9);
  const nothing = recordingBurst(stored, [], false);
  expect(nothing).toMatchObject({ withheld: true, text: '', characters: [], slots: [] });
});
