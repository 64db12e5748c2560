import { describe, expect, test } from 'vitest';
import { type Caller, NOBODY } from '../../../server/access/caller.ts';
import { maySeePrivate, needOwner, needTeam, owns, vouchesFor } from '../../../server/access/rules.ts';
import type { StoredRecording } from '../../../server/store/records.ts';
import { newRecording } from '../support/records.ts';

const TEAM: Caller = { kind: 'team' };
const LARK: Caller = { kind: 'station', callSign: 'Q1LARK' };
const SENDER: Caller = { kind: 'sender', recording: 5 };

function recording(change: Partial<StoredRecording> = {}): StoredRecording {
  return {
    ...newRecording(1),
    id: 5,
    status: 'decoded',
    failure: null,
    audio: null,
    problems: [],
    presence: [],
    decoderVersion: 1,
    bursts: 0,
    frames: 0,
    ...change,
  };
}

test('private missions are for the team and stations', () => {
  expect([TEAM, LARK, SENDER, NOBODY].map(maySeePrivate)).toEqual([true, true, false, false]);
});

test('a station vouches under its own call sign, however it travels; the team for all', () => {
  expect(vouchesFor(LARK, 'Q1LARK')).toBe(true);
  expect(vouchesFor(LARK, 'Q9/Q1LARK/P')).toBe(true);
  expect(() => vouchesFor(LARK, 'Q2FINCH')).toThrow(/belongs to Q1LARK/);
  expect(vouchesFor(TEAM, 'Q2FINCH')).toBe(true);
  expect([SENDER, NOBODY].map((caller) => vouchesFor(caller, 'Q1LARK'))).toEqual([false, false]);
});

describe('a recording', () => {
  test('is owned by the team, by the key given for it, and by the station that vouched', () => {
    const vouched = recording({ vouched: true });
    expect([TEAM, LARK, SENDER, NOBODY].map((caller) => owns(caller, vouched))).toEqual([true, true, true, false]);
    expect(owns({ kind: 'sender', recording: 6 }, vouched)).toBe(false);
    expect(owns({ kind: 'station', callSign: 'Q2FINCH' }, vouched)).toBe(false);
  });

  test('that somebody sent under a call sign without its key is not that station’s', () => {
    expect(owns(LARK, recording({ vouched: false }))).toBe(false);
  });

  test('is told to others why they may not', () => {
    expect(() => needOwner(NOBODY, recording())).toThrow(expect.objectContaining({ code: 'key-needed' }));
    expect(() => needOwner(LARK, recording())).toThrow(expect.objectContaining({ code: 'not-yours' }));
    expect(needOwner(SENDER, recording())).toBeUndefined();
  });
});

test('the team’s work needs the team’s key', () => {
  expect(needTeam(TEAM)).toBeUndefined();
  expect(() => needTeam(NOBODY)).toThrow(expect.objectContaining({ code: 'key-needed' }));
  for (const caller of [LARK, SENDER]) {
    expect(() => needTeam(caller)).toThrow(expect.objectContaining({ code: 'team-key-needed' }));
  }
});
