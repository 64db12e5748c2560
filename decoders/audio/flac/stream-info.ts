/** The metadata block that a FLAC stream begins with (RFC 9639 section 8.2). */
export interface StreamInfo {
  /** Smallest block, the last one not counted, and largest; equal in a stream of fixed block size. */
  readonly leastBlockSize: number;
  readonly mostBlockSize: number;
  /** Bytes of the largest frame; null when unknown. */
  readonly mostFrameBytes: number | null;
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly bitsPerSample: number;
  /** Samples of each channel; null when unknown. */
  readonly totalFrames: number | null;
}

export const STREAM_INFO_BYTES = 34;

/** Reads the body of the STREAMINFO block, without its header. Null when it holds what cannot be. */
export function parseStreamInfo(body: Uint8Array): StreamInfo | null {
  if (body.length < STREAM_INFO_BYTES) return null;
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  const mostFrameBytes = view.getUint32(6) & 0xffffff;
  const packed = view.getUint32(10);
  const totalFrames = (body[13] & 15) * 2 ** 32 + view.getUint32(14);
  const info = {
    leastBlockSize: view.getUint16(0),
    mostBlockSize: view.getUint16(2),
    mostFrameBytes: mostFrameBytes === 0 ? null : mostFrameBytes,
    sampleRateHz: packed >>> 12,
    channels: ((packed >>> 9) & 7) + 1,
    bitsPerSample: ((packed >>> 4) & 31) + 1,
    totalFrames: totalFrames === 0 ? null : totalFrames,
  };
  const isPossible = info.mostBlockSize >= info.leastBlockSize && info.sampleRateHz > 0 && info.bitsPerSample >= 4;
  return isPossible ? info : null;
}
