import { describe, expect, test } from 'vitest';
import { keyedPlace } from '../../../decoders/cut-outs/keyed-place.ts';
import type { BurstCarrier } from '../../../decoders/signal/types.ts';
import type { Burst } from '../../../decoders/teletype/types.ts';

const soft = { count: 0, startSeconds: new Float64Array(), elementLlr: new Float32Array() };
const burst: Burst = {
  startSeconds: 10,
  endSeconds: 20,
  baud: 45.45,
  markHz: 1275,
  spaceHz: 1445,
  reversed: false,
  stopElements: 1.5,
  driftHzPerSecond: -3,
  ebN0Db: 12,
  soft,
  text: '',
  alternativeText: null,
  characters: [],
};
const carrier: BurstCarrier = {
  modulation: 'fm',
  seconds: 15,
  carrierHz: -4000,
  absoluteHz: null,
  driftHzPerSecond: -3,
  uncertaintyHz: 0.1,
  track: [],
};

describe('a burst of a complex band is cut out', () => {
  test('where its keyed carrier stands', () => {
    const keyed = { ...burst, carrier: { ...carrier, modulation: 'fsk' as const } };
    expect(keyedPlace(keyed)).toEqual({ carrier: keyed.carrier, middleHz: 1700 });
  });

  test('from the upper side band of an FM carrier, at the pitch that its tones have', () => {
    expect(keyedPlace({ ...burst, carrier })).toMatchObject({
      carrier: { modulation: 'fsk', carrierHz: -4000 + 1360, seconds: 15, driftHzPerSecond: -3 },
      middleHz: 1360,
    });
    const low = keyedPlace({ ...burst, markHz: 500, spaceHz: 670, carrier });
    expect([low.carrier.carrierHz, low.middleHz]).toEqual([-4000 + 585, 1700]);
  });

  test('where its tones stand, when nothing is known of its carrier', () => {
    expect(keyedPlace({ ...burst, markHz: 3000, spaceHz: 3170 })).toMatchObject({
      carrier: { modulation: 'fsk', carrierHz: 3085, seconds: 15, driftHzPerSecond: -3 },
      middleHz: 1700,
    });
  });
});
