import { expect, test } from 'vitest';
import { packAlone, unpackAlone } from '../../../../server/store/pack/alone.ts';
import { decodedFrame } from '../../support/records.ts';

test('what was read in one copy comes back whole', () => {
  const alone = { mission: 'wren-1', version: 3, decoded: decodedFrame({ complete: false, trust: 'doubtful' }) };
  expect(unpackAlone(packAlone(alone))).toEqual(alone);
});
