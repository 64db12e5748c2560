/** Reads `length` bytes at `at`, or what there is of them. */
export type ReadAt = (at: number, length: number) => Uint8Array;

const PIECE_BYTES = 2 ** 18;

/** The bytes from one place to before another, piece by piece. */
export function* stretch(read: ReadAt, from: number, to: number): Generator<Uint8Array> {
  for (let at = from; at < to; ) {
    const piece = read(at, Math.min(PIECE_BYTES, to - at));
    if (piece.length === 0) return;
    yield piece;
    at += piece.length;
  }
}
