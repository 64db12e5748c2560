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

/** Reads the frame that describes the others; null when it is sound like them. */
export function readMpegInfo(frame: Uint8Array, { layer, version, channels }: MpegFrameHeader): MpegInfo | null {
  if (layer !== 3) return null;
  if (beginsWith(frame.subarray(MPEG_HEADER_BYTES + 32), 'VBRI')) return { frames: null, padding: null };
  const sideInfo = version === 1 ? (channels === 1 ? 17 : 32) : channels === 1 ? 9 : 17;
  const body = frame.subarray(MPEG_HEADER_BYTES + sideInfo);
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
