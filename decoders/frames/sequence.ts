/**
 * Which frame of a sequence each one heard in a burst is, where the layouts alone do not tell: the order must fit all of
 * them at once.
 *
 * @param sequence frame ids in the order sent, over and over.
 * @param possible for each frame heard in order, the ids whose layout prints its text.
 * @returns an id for each, or null for each that the order leaves open. A burst that holds the whole sequence and fits it
 * from its beginning is taken to begin with it.
 */
export function resolveSequence(
  sequence: readonly string[],
  possible: readonly (readonly string[])[],
): (string | null)[] {
  const orders = sequence
    .map((_, offset) => possible.map((_, i) => sequence[(offset + i) % sequence.length]))
    .filter((order) => order.every((id, i) => possible[i].includes(id)));
  const fromBeginning =
    possible.length >= sequence.length ? orders.find((order) => order[0] === sequence[0]) : undefined;
  if (fromBeginning) return fromBeginning;
  return possible.map((ids, i) => {
    const left = new Set(orders.length > 0 ? orders.map((order) => order[i]) : ids);
    const [only] = left;
    return left.size === 1 ? only : null;
  });
}
