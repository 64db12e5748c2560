import { ensure } from './ensure.ts';
import type { KeyingStep } from './keying.ts';

/** ITU-R M.1677-1, letters, figures and the fraction bar. */
const SIGNS: Readonly<Record<string, string>> = {
  A: '.-',
  B: '-...',
  C: '-.-.',
  D: '-..',
  E: '.',
  F: '..-.',
  G: '--.',
  H: '....',
  I: '..',
  J: '.---',
  K: '-.-',
  L: '.-..',
  M: '--',
  N: '-.',
  O: '---',
  P: '.--.',
  Q: '--.-',
  R: '.-.',
  S: '...',
  T: '-',
  U: '..-',
  V: '...-',
  W: '.--',
  X: '-..-',
  Y: '-.--',
  Z: '--..',
  0: '-----',
  1: '.----',
  2: '..---',
  3: '...--',
  4: '....-',
  5: '.....',
  6: '-....',
  7: '--...',
  8: '---..',
  9: '----.',
  '/': '-..-.',
};

/**
 * Keys `text` as Morse on the mark tone, the identification that some beacons send before their text. A dash is three
 * dots, the space in a sign one, between signs three, between words seven (ITU-R M.1677-1); it ends with a word space.
 *
 * @param dotSeconds length of a dot: 1.2 / words a minute (word PARIS).
 * @throws FiveunitError `no-morse-sign` for a character that has none here.
 */
export function morseKeying(text: string, dotSeconds: number): KeyingStep[] {
  const steps: KeyingStep[] = [];
  for (const word of text.toUpperCase().split(/\s+/)) {
    for (const character of word) {
      const sign = SIGNS[character];
      ensure(
        sign !== undefined,
        'no-morse-sign',
        `"${character}" has no Morse sign here: use letters, digits and "/" in an identification`,
      );
      for (const mark of sign) {
        steps.push({ tone: 'mark', seconds: mark === '-' ? 3 * dotSeconds : dotSeconds });
        steps.push({ tone: 'off', seconds: dotSeconds });
      }
      steps.push({ tone: 'off', seconds: 2 * dotSeconds });
    }
    steps.push({ tone: 'off', seconds: 4 * dotSeconds });
  }
  return steps;
}
