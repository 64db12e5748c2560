import { beginsWith } from '../signatures.ts';
import { MPEG_HEADER_BYTES, type MpegFrameHeader } from './frame-header.ts';

/** What the first frame of a file may say instead of sound (Xing and LAME, VBRI; common practice, no standard). */
export interface MpegInfo {
  /** Frames of sound that follow; null when it does not say. */
  readonly frames: number | null;
  /** Samples that the encoder put before and behind the sound; null when it does not say. */
  readonly padding: { readonly before: number; readonly behind: number } | null;
}

/** Samples that every decoder of layer III adds in front. */
const DECODER_DELAY = 529;

const VBRI_AT = MPEG_HEADER_BYTES + 32;
/** Behind `Xing` and `Info` stand four flags in 32 bits, behind `VBRI` the version 1 in 16. */
const FLAGS = 0xf;
const VBRI_VERSION = 1;

/**
 * Whether a frame in the midst of others describes those that follow: another file begins. It is looked at more closely than
 * the first of a file, as sound may spell a word by chance.
 */
export function beginsStream(frame: Uint8Array, { layer, version, channels }: MpegFrameHeader): boolean {
  if (layer !== 3) return false;
  const isVbri = beginsWith(frame.subarray(VBRI_AT), 'VBRI');
  if (isVbri) return ((frame[VBRI_AT + 4] << 8) | frame[VBRI_AT + 5]) === VBRI_VERSION;
  const at = xingAt(version, channels);
  const body = frame.subarray(at);
  const isXing = body.length >= 8 && (beginsWith(body, 'Xing') || beginsWith(body, 'Info'));
  return isXing && body[4] + body[5] + body[6] === 0 && body[7] <= FLAGS;
}

/** Reads the frame that describes the others; null when it is sound like them. */
export function readMpegInfo(frame: Uint8Array, { layer, version, channels }: MpegFrameHeader): MpegInfo | null {
  if (layer !== 3) return null;
  if (beginsWith(frame.subarray(VBRI_AT), 'VBRI')) return { frames: null, padding: null };
  const body = frame.subarray(xingAt(version, channels));
  if (!beginsWith(body, 'Xing') && !beginsWith(body, 'Info')) return null;
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  const flags = body.length >= 8 ? view.getUint32(4) : 0;
  let at = 8;
  const frames = flags & 1 && body.length >= at + 4 ? view.getUint32(at) : null;
  for (const [flag, bytes] of [
    [1, 4],
    [2, 4],
    [4, 100],
    [8, 4],
  ]) {
    if (flags & flag) at += bytes;
  }
  const encoder = body.subarray(at);
  if (encoder.length < 24 || !(beginsWith(encoder, 'LAME') || beginsWith(encoder, 'Lav')))
    return { frames, padding: null };
  const before = (encoder[21] << 4) | (encoder[22] >> 4);
  const behind = ((encoder[22] & 15) << 8) | encoder[23];
  return {
    frames,
    padding: { before: before + DECODER_DELAY, behind: Math.max(0, behind - DECODER_DELAY) },
  };
}

/** Behind the side information of a frame without sound. */
function xingAt(version: MpegFrameHeader['version'], channels: MpegFrameHeader['channels']): number {
  const sideInfoBytes = version === 1 ? (channels === 1 ? 17 : 32) : channels === 1 ? 9 : 17;
  return MPEG_HEADER_BYTES + sideInfoBytes;
}
