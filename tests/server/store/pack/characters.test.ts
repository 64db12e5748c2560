import { expect, test } from 'vitest';
import {
  packFrameCharacters,
  packPrinted,
  unpackFrameCharacters,
  unpackPrinted,
} from '../../../../server/store/pack/characters.ts';

test('characters of a frame come back with their fields', () => {
  const characters = [
    { text: 'Q', slot: 0, confidence: 1, field: null },
    { text: '7', slot: 2, confidence: 0.123457, field: 'battery' },
    { text: '-', slot: 3, confidence: 0.5, field: 'current' },
    { text: '9', slot: 4, confidence: 0.9, field: 'battery' },
  ];
  expect(unpackFrameCharacters(packFrameCharacters(characters))).toEqual(characters);
});

test('printed characters come back, their confidence to a millionth', () => {
  const packed = packPrinted([{ text: '"', slot: 7, confidence: 0.12345678 }]);
  expect(unpackPrinted(packed)).toEqual([{ text: '"', slot: 7, confidence: 0.123457 }]);
  expect(unpackPrinted(packPrinted([]))).toEqual([]);
});
