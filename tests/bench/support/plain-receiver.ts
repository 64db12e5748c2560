/** Error rate of an element for ideal noncoherent reception of two orthogonal tones, 0.5 exp(-Eb/2N0) (Proakis, Digital Communications). */
export function elementErrorRate(ebN0Db: number): number {
  return 0.5 * Math.exp(-(10 ** (ebN0Db / 10)) / 2);
}

/** Probability that a receiver with perfect timing that decides element by element gets all data elements of a text right. */
export function plainReceiver(ebN0Db: number, characters: number): number {
  return (1 - elementErrorRate(ebN0Db)) ** (5 * characters);
}
