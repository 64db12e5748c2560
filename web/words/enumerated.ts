/** `a`, `a and b`, `a, b and c`. */
export function enumerated(words: readonly string[]): string {
  const [last = '', ...others] = words.toReversed();
  return others.length === 0 ? last : `${others.toReversed().join(', ')} and ${last}`;
}
