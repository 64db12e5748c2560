import { expect, test } from 'vitest';
import type { HeardHere } from '../../../../server/http/views/frame-view.ts';
import { recordingBurst, slotsUnder, tapeSlots } from '../../../../server/http/views/tape-view.ts';
import type { StoredBurst } from '../../../../server/store/records.ts';
import { burstOf, decodedFrame, NOON, newFrame } from '../../support/records.ts';

function heardHere(text: string, slots: readonly number[]): HeardHere {
  const characters = [...text].map((character, i) => ({ text: character, slot: 40 + i, confidence: 1, field: null }));
  const { readings: _, ...frame } = newFrame(NOON, [], { decoded: decodedFrame({ text, characters }) });
  return {
    frame: { ...frame, id: 1, addedAt: NOON, source: { kind: 'recording', recording: 1, burst: 0 } },
    copies: [{ recording: 2, burst: 0, use: 'added', slots, alone: null }],
  };
}

/** The burst as somebody sees it who may see all, or only what lies under its frames. */
function seen(stored: StoredBurst, heard: readonly HeardHere[], whole: boolean) {
  const visible = whole ? undefined : slotsUnder(heard.flatMap(({ copies }) => copies.map(({ slots }) => slots)));
  return recordingBurst({ stored, heard, visible, audible: null });
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
  expect([...slotsUnder([[2, -1, 5]])]).toEqual([2, 3, 4, 5]);
  expect([...slotsUnder([[], [-1]])]).toEqual([]);
  expect([...slotsUnder([])]).toEqual([]);
});

test('others see of a burst what lies under its frames', () => {
  const stored = { index: 0, burst: { ...burstOf('HI AB BYE'), alternativeText: 'HI 12 BYE' } };
  const frames = [heardHere('AB', [3, 4])];
  const open = seen(stored, frames, false);
  expect(open).toMatchObject({ withheld: true, text: 'AB', alternativeText: null });
  expect(open.slots.map(({ slot }) => slot)).toEqual([3, 4]);
  const whole = seen(stored, frames, true);
  expect(whole).toMatchObject({ withheld: false, text: 'HI AB BYE', alternativeText: 'HI 12 BYE' });
  expect(whole.slots).toHaveLength(9);
  expect(open.frames[0].characters.map(({ slot }) => slot)).toEqual([3, 4]);
  const nothing = seen(stored, [], false);
  expect(nothing).toMatchObject({ withheld: true, text: '', characters: [], slots: [] });
});

test('of a frame that was read in another recording a burst shows what it holds', () => {
  const burst = burstOf('HI AB BYE');
  const [frame] = seen({ index: 0, burst }, [heardHere('XAB', [-1, 3, 4])], true).frames;
  expect(frame.text).toBe('XAB');
  expect(frame.characters.map(({ text, slot }) => [text, slot])).toEqual([
    ['A', 3],
    ['B', 4],
  ]);
  expect(frame.startSeconds).toBe(burst.soft.startSeconds[3]);
  expect(frame.endSeconds).toBe(burst.soft.startSeconds[5]);
});
