import { SIMULATED } from './info-chunk.ts';
import type { AudioComment } from './types.ts';
import { decodeUtf8, encodeUtf8 } from './utf8.ts';

/**
 * The comments of a Vorbis comment header without its framing (RFC 9639 section 8.6 for FLAC, RFC 7845 section 5.2 for
 * Opus, Vorbis I section 5): vendor, count, then `NAME=value` each, all lengths 32 bits, little-endian.
 *
 * @param body from the length of the vendor string on; may be cut off.
 * @returns what stands whole in it, in order, names in upper case; entries without `=` are left out.
 */
export function parseVorbisComments(body: Uint8Array): AudioComment[] {
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  const comments: AudioComment[] = [];
  if (body.length < 4) return comments;
  let at = 4 + view.getUint32(0, true);
  if (at + 4 > body.length) return comments;
  const count = view.getUint32(at, true);
  at += 4;
  for (let i = 0; i < count && at + 4 <= body.length; i++) {
    const end = at + 4 + view.getUint32(at, true);
    if (end > body.length) break;
    const entry = decodeUtf8(body.subarray(at + 4, end));
    const equals = entry.indexOf('=');
    if (equals > 0) comments.push({ name: entry.slice(0, equals).toUpperCase(), value: entry.slice(equals + 1) });
    at = end;
  }
  return comments;
}

/** The body that `parseVorbisComments` reads. Names are ASCII without `=`. */
export function packVorbisComments(vendor: string, comments: readonly AudioComment[]): Uint8Array {
  const entries = comments.map(({ name, value }) => encodeUtf8(`${name}=${value}`));
  const parts = [encodeUtf8(vendor), ...entries];
  const body = new Uint8Array(4 + parts.reduce((length, part) => length + 4 + part.length, 0));
  const view = new DataView(body.buffer);
  let at = 0;
  for (const [i, part] of parts.entries()) {
    view.setUint32(at, part.length, true);
    body.set(part, at + 4);
    at += 4 + part.length;
    if (i > 0) continue;
    view.setUint32(at, entries.length, true);
    at += 4;
  }
  return body;
}

/** Whether comments say that this project's simulator made the recording: see `SIMULATED`. */
export function saySimulated(comments: readonly AudioComment[]): boolean {
  return comments.some(
    ({ name, value }) => (name === 'COMMENT' || name === 'DESCRIPTION') && value.startsWith(SIMULATED),
  );
}
