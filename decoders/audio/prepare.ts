import type { AudioCodecs } from './codecs.ts';
import { id3Bytes } from './id3.ts';
import { beginsWith, isMpegAudio } from './signatures.ts';

/** So many first bytes of a recording tell which decoders it needs. */
export const PREPARE_BYTES = 4096;

/**
 * Loads the decoders that a recording needs and that are not there at once (WebAssembly), by its first bytes: give it
 * `PREPARE_BYTES`, or all there are. WAV and FLAC need none and wait for nothing.
 *
 * Await it, then hand the result to the reader or decoder of this one recording:
 * `createRecordingDecoder({ missions, codecs: await prepareAudio(firstBytes) })`.
 */
export async function prepareAudio(firstBytes: Uint8Array): Promise<AudioCodecs> {
  if (beginsWith(firstBytes, 'OggS')) {
    const opusHead = find(firstBytes, 'OpusHead');
    if (opusHead !== null) {
      const { loadOpus } = await import('./load-opus.ts');
      return { opus: await loadOpus(firstBytes[opusHead + 9] === 2 ? 2 : 1) };
    }
    if (find(firstBytes, '\x01vorbis') !== null) {
      return { vorbis: await (await import('./load-vorbis.ts')).loadVorbis() };
    }
  }
  if (id3Bytes(firstBytes) > 0 || isMpegAudio(firstBytes)) {
    return { mpeg: await (await import('./load-mpeg.ts')).loadMpeg() };
  }
  return {};
}

/** Where `text` first stands. */
function find(bytes: Uint8Array, text: string): number | null {
  for (let at = 0; at + text.length <= bytes.length; at++) {
    let i = 0;
    while (i < text.length && bytes[at + i] === text.charCodeAt(i)) i++;
    if (i === text.length) return at;
  }
  return null;
}
