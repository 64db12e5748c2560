const DIGITS = '0123456789';
const HEX = `${DIGITS}ABCDEF`;

const sorted = (characters: string): string => [...new Set(characters)].sort().join('');

/** Which characters may stand somewhere, in words. */
export function expectedText(characters: string): string {
  const set = sorted(characters);
  if (set === '') return 'the end of the line';
  if (set === DIGITS) return 'a digit';
  if (set === `-${DIGITS}`) return 'a digit or a minus';
  if (set === HEX) return 'a hex digit';
  const named = [...set].map((character) => (character === ' ' ? 'a space' : `“${character}”`));
  return named.length === 1 ? named.join('') : `one of ${named.slice(0, -1).join(', ')} or ${named.at(-1)}`;
}
