import { readSync } from 'node:fs';

const PIECE_BYTES = 256 * 1024;

/**
 * The bytes of an open file from its start on. One buffer for all pieces: each holds until the next one is asked for.
 *
 * @param onRead is told how many bytes have been read.
 */
export async function* filePieces(
  file: number,
  onRead: (bytes: number) => void = () => {},
): AsyncGenerator<Uint8Array> {
  const piece = new Uint8Array(PIECE_BYTES);
  for (let at = 0; ; ) {
    const read = readSync(file, piece, 0, piece.length, at);
    if (read === 0) return;
    at += read;
    onRead(at);
    yield piece.subarray(0, read);
  }
}

/** The first bytes of an open file, as many as asked for or there are. */
export function firstBytes(file: number, count: number): Uint8Array {
  const bytes = new Uint8Array(count);
  return bytes.subarray(0, readSync(file, bytes, 0, count, 0));
}
