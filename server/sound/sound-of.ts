import { existsSync } from 'node:fs';
import type { BurstCarrier } from '../../decoders/signal/types.ts';
import { Refusal } from '../refusal.ts';
import type { Services } from '../services.ts';
import type { StoredRecording } from '../store/records.ts';
import type { Audible } from './audible.ts';
import type { Stretch } from './cutter.ts';
import { COPY_BYTES_PER_SECOND } from './listening-copy.ts';

/** All copies to listen to together take so much of the disk at most; one recording's may take half of it. */
const COPIES_BYTES_MAX = 4 * 2 ** 30;

/**
 * The sound of a stretch of a recording as a WAV file that says nothing of where it comes from.
 *
 * @param options.pieces null for all of it, else so many pieces from the middles of equal parts: see `CutTask`.
 * @param options.carrier of a burst in a complex band, which is demodulated.
 */
export async function soundOf(
  { cutter, copies, files, limits }: Services,
  { sha256, audio }: StoredRecording,
  stretch: Stretch | Audible,
  { pieces = null, carrier = null }: { readonly pieces?: number | null; readonly carrier?: BurstCarrier | null } = {},
): Promise<Buffer> {
  if (audio === null) throw new Refusal('recording-not-decoded', 'the recording is not decoded yet: wait for that');
  if (audio.iq && carrier === null) {
    throw new Refusal('sound-unreadable', 'I/Q is no sound by itself: only its bursts, demodulated, can be heard');
  }
  const room = Math.min(COPIES_BYTES_MAX / 2, (await files.freeBytes()) - limits.freeBytesKept);
  const channel = audio.channel ?? 0;
  const outcome = await cutter.cut({
    path: files.pathOf(sha256),
    copyPath: await copies.pathOf(sha256, channel),
    copyBytesMax: Math.max(0, room),
    channel,
    carrier,
    stretch,
    silences: 'silences' in stretch ? stretch.silences : [],
    pieces,
  });
  if (!outcome.readable) {
    if (outcome.failure.code !== 'no-room') throw new Refusal('sound-unreadable', outcome.failure.message);
    const needed = Math.ceil(audio.seconds * COPY_BYTES_PER_SECOND);
    throw new Refusal('storage-full', `a copy to listen to needs ${needed} bytes, more than there is room for`);
  }
  if (outcome.copied) {
    await copies.trim(COPIES_BYTES_MAX);
    // It may have been deleted meanwhile.
    if (!existsSync(files.pathOf(sha256))) await copies.remove(sha256);
  }
  const { buffer, byteOffset, byteLength } = outcome.wav;
  return Buffer.from(buffer, byteOffset, byteLength);
}
