import { describe, expect, test } from 'vitest';
import { audibleWith, roomsBetween } from '../../../server/sound/audible.ts';
import { burstOf } from '../support/records.ts';

const burst = burstOf('HI AB BYE', 10);
const room = { startSeconds: 0, endSeconds: 60 };

describe('who may see all of a burst', () => {
  test('hears it and a second around it', () => {
    expect(audibleWith(burst, room)).toEqual({ startSeconds: 9, endSeconds: 12.5, silences: [] });
  });

  test('hears neither the bursts beside it nor what lies beyond the recording', () => {
    expect(audibleWith(burst, { startSeconds: 9.75, endSeconds: 11.75 })).toMatchObject({
      startSeconds: 9.75,
      endSeconds: 11.75,
    });
    expect(audibleWith(burst, { startSeconds: 10.5, endSeconds: 11 })).toMatchObject({
      startSeconds: 10,
      endSeconds: 11.5,
    });
  });
});

describe('who may see its frames only', () => {
  const at = (slot: number) => burst.soft.startSeconds[slot];

  test('hears nothing of text that fits no layout', () => {
    expect(audibleWith(burst, room, new Set([3, 4]))).toEqual({
      startSeconds: at(3),
      endSeconds: at(5),
      silences: [],
    });
    expect(audibleWith(burst, room, new Set())).toBeNull();
  });

  test('hears what is around the burst where nothing else was sent there', () => {
    expect(audibleWith(burst, room, new Set([0, 1]))).toMatchObject({ startSeconds: 9, endSeconds: at(2) });
    expect(audibleWith(burst, room, new Set([6, 7, 8]))).toMatchObject({ startSeconds: at(6), endSeconds: 12.5 });
  });

  test('hears silence between two frames', () => {
    const heard = audibleWith(burst, room, new Set([0, 1, 4, 5, 6, 7, 8]));
    expect(heard).toMatchObject({ startSeconds: 9, endSeconds: 12.5 });
    expect(heard?.silences).toEqual([
      { startSeconds: at(2), endSeconds: at(3) },
      { startSeconds: at(3), endSeconds: at(4) },
    ]);
  });
});

test('the room of a burst ends where others are', () => {
  const bursts = [burstOf('ABC', 2), burstOf('ABCDEF', 10), burstOf('ABC', 20)];
  expect(roomsBetween(bursts, 25)).toEqual([
    { startSeconds: 0, endSeconds: 10 },
    { startSeconds: 2.5, endSeconds: 20 },
    { startSeconds: 11, endSeconds: 25 },
  ]);
});
