/** How the comment of a file begins that this project's simulator made. */
export const SIMULATED = 'Simulated by fiveunit';

/**
 * An entry of a `LIST` chunk of type INFO, for instance `ICRD` or `ICMT`.
 *
 * @returns its text up to the first zero; null when the body is of another type or has no such entry.
 */
export function infoEntry(body: Uint8Array, id: string): string | null {
  if (ascii(body, 0, 4) !== 'INFO') return null;
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  for (let at = 4; at + 8 <= body.length; ) {
    const size = view.getUint32(at + 4, true);
    if (ascii(body, at, at + 4) === id) return ascii(body, at + 8, at + 8 + size);
    at += 8 + size + (size & 1);
  }
  return null;
}

/** Bytes as text up to the first zero or the end. */
export function ascii(bytes: Uint8Array, from: number, to: number): string {
  let text = '';
  for (let i = from; i < Math.min(to, bytes.length) && bytes[i] !== 0; i++) text += String.fromCharCode(bytes[i]);
  return text;
}
