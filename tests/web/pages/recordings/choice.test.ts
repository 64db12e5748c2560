// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { fieldChoice, frameChoice, slotChoice } from '../../../../web/pages/recordings/choice.ts';
import { frame } from '../../support/scene.ts';

const one = { ...frame(), startSeconds: 1, endSeconds: 2 };
const FIELD_SLOTS = [6, 7, 8, 9];

describe('what is picked out of a burst', () => {
  it('is a whole frame', () => {
    expect([...frameChoice(one).slots]).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
  });

  it('is the characters of the fields that a reading came from', () => {
    const choice = fieldChoice(one, new Set(['battery']), 'battery_voltage');
    expect(choice).toMatchObject({ frame: 'f1', parameter: 'battery_voltage' });
    expect([...choice.slots]).toEqual(FIELD_SLOTS);
  });

  it('is the field of a character on the tape, and its frame', () => {
    const choice = slotChoice([one], 7);
    expect([choice.frame, [...choice.fields], choice.parameter]).toEqual(['f1', ['battery'], null]);
    expect([...choice.slots]).toEqual(FIELD_SLOTS);
  });

  it('is the character alone where it belongs to no field', () => {
    for (const slot of [2, 40]) {
      const choice = slotChoice([one], slot);
      expect([choice.frame, [...choice.slots]]).toEqual([null, [slot]]);
    }
  });
});
