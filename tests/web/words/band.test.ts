import { expect, test } from 'vitest';
import { tonesText } from '../../../web/words/band.ts';

const KEYED = { markHz: -5085, spaceHz: -4915 };
const HEARD = { markHz: 1445, spaceHz: 1275 };
const place = { carrierHz: -5000, absoluteHz: 145.895e6 };

test('tones are told as sound, on their carrier, or as the keying of the carrier itself', () => {
  expect(tonesText({ ...HEARD, carrier: null })).toMatch(/^mark 1.?445\sHz, space 1.?275\sHz$/);
  expect(tonesText({ ...HEARD, carrier: { ...place, modulation: 'fm' } })).toMatch(
    /^mark 1.?445\sHz, space 1.?275\sHz, on an FM carrier at 145\.895000\sMHz$/,
  );
  expect(tonesText({ ...KEYED, carrier: { ...place, modulation: 'fsk' } })).toMatch(
    /^carrier at 145\.895000\sMHz keyed by 170\sHz, mark the lower$/,
  );
});

test('where the middle of the band is not known a carrier is told from there', () => {
  const carrier = { modulation: 'fsk', carrierHz: 812.4, absoluteHz: null } as const;
  expect(tonesText({ markHz: 897.4, spaceHz: 727.4, carrier })).toMatch(
    /^carrier \+812\.4\sHz from the middle of the band keyed by 170\sHz, mark the upper$/,
  );
});
