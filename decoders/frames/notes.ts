/** Tells of a frame whose checksum rules out what was most likely read. */
export const CONTRADICTED_NOTE = 'checksum-contradicts-text';
/** Tells of a reading that a slot clearly speaks against. */
export const AGAINST_NOTE = 'clearly-against';
/** Tells of a text that reads much better without the layout. */
export const FOREIGN_NOTE = 'foreign-text';
/** Tells of a letter in the literal words that sounds like another. */
export const SISTER_NOTE = 'other-literal-heard';
/** Tells of frames that print the same, of which nothing says which it is. */
export const ORDER_NOTE = 'order-unknown';
/** Tells of receptions that do not say the same. */
export const COPIES_NOTE = 'copies-disagree';

const SENTENCES: Readonly<Record<string, string>> = {
  [CONTRADICTED_NOTE]: 'The checksum does not fit what was clearly read.',
  [AGAINST_NOTE]: 'One character is clearly another than the layout has there.',
  [FOREIGN_NOTE]: 'Read freely, the text is another: it may come from another sender.',
  [SISTER_NOTE]: 'A letter of the fixed words sounds like another: it may be a satellite of a similar name.',
  [ORDER_NOTE]: 'Several frames of this mission print the same, and their order does not say which this is.',
  [COPIES_NOTE]: 'Receptions of the same transmission do not say the same.',
};

/** Why a frame is doubted, in a sentence; a code that is not known stands for itself. */
export function noteSentence(code: string): string {
  return SENTENCES[code] ?? code;
}
