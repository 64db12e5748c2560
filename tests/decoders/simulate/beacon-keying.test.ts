import { describe, expect, test } from 'vitest';
import type { Beacon } from '../../../decoders/mission/types.ts';
import { keyingOf } from '../../../decoders/simulate/beacon-keying.ts';

const beacon: Beacon = {
  modulation: 'afsk',
  baud: 75,
  markHz: 2295,
  spaceHz: 2125,
  stopElements: 2,
  alphabet: 'us-tty',
  also: [],
  shifts: { unshiftOnSpace: true, repeat: 2 },
};

describe('keyingOf', () => {
  test('is as the definition says', () => {
    expect(keyingOf(beacon, {})).toEqual({
      markHz: 2295,
      spaceHz: 2125,
      baud: 75,
      stopElements: 2,
      alphabet: 'us-tty',
      unshiftOnSpace: true,
      repeatShifts: 2,
    });
  });

  test('takes changes before the definition', () => {
    expect(keyingOf(beacon, { mark: 1000, baud: 50 })).toMatchObject({ markHz: 1000, spaceHz: 2125, baud: 50 });
  });

  test('puts the tones of a shifted carrier into a voice channel', () => {
    const { markHz, spaceHz } = keyingOf(
      { modulation: 'fsk', shiftHz: 450, alphabet: 'ita2', also: [], shifts: {} },
      {},
    );
    expect(Math.abs(spaceHz - markHz)).toBe(450);
    expect(Math.min(markHz, spaceHz)).toBeGreaterThan(300);
    expect(Math.max(markHz, spaceHz)).toBeLessThan(3000);
  });

  test('knows something to do without a definition', () => {
    const { markHz, spaceHz, baud } = keyingOf(null, {});
    expect([Math.abs(spaceHz - markHz), baud]).toEqual([170, 45.45]);
  });
});
