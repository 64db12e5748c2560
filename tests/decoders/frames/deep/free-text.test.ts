import { expect, test } from 'vitest';
import { freeTextEvidence } from '../../../../decoders/frames/deep/free-text.ts';
import { Random } from '../../../../decoders/simulate/random.ts';
import { heard, surfaceOf, TEXT } from './heard.ts';

const CLEAN = { slip: 0.004, diffusion: 0.015 };
/** Without noise the demodulated tones are exact enough for a phase that holds from character to character. */
const CLEAR_DB = 14;

function evidences(text: string) {
  const { surface, start } = surfaceOf(heard(text, 'continuous', 5, CLEAR_DB));
  const ofLayout = surface.at(start, CLEAN) - surface.sums.random.reduce((sum, each) => sum + each, 0);
  const trellis = surface.trellis(start, CLEAN, 'all');
  return { ofLayout, ofAnyText: freeTextEvidence(trellis, trellis.slots) };
}

test('a frame of the layout is explained better by it than as any text', () => {
  const { ofLayout, ofAnyText } = evidences(TEXT);
  expect(ofLayout).toBeGreaterThan(ofAnyText + 50);
});

test('another text is explained better as any text, though its phase holds', () => {
  const random = new Random(4);
  const letters = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789';
  const other = Array.from({ length: TEXT.length }, () => letters[random.integer(letters.length)]).join('');
  const { ofLayout, ofAnyText } = evidences(other);
  expect(ofAnyText).toBeGreaterThan(ofLayout + 50);
});
