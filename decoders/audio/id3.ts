const HEADER_BYTES = 10;

/**
 * Length of the ID3 tag (version 2, id3.org) that the bytes begin with, its header and footer included: some programs
 * put one in front of MP3, AAC and even FLAC. 0 when there is none; 10 bytes are enough to tell.
 */
export function id3Bytes(bytes: Uint8Array): number {
  const isTag = bytes.length >= HEADER_BYTES && bytes[0] === 0x49 && bytes[1] === 0x44 && bytes[2] === 0x33;
  if (!isTag || bytes.subarray(6, 10).some((byte) => byte >= 0x80)) return 0;
  const size = (bytes[6] << 21) | (bytes[7] << 14) | (bytes[8] << 7) | bytes[9];
  const hasFooter = (bytes[5] & 0x10) !== 0;
  return HEADER_BYTES + size + (hasFooter ? HEADER_BYTES : 0);
}
