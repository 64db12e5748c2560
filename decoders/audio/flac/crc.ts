/** CRC-8 of a frame header: polynomial 0x07, start 0, unreflected (RFC 9639 section 9.1.8). */
export function crc8(bytes: Uint8Array, from: number, to: number): number {
  let crc = 0;
  for (let i = from; i < to; i++) crc = CRC_8[crc ^ bytes[i]];
  return crc;
}

/**
 * CRC-16 of a whole frame: polynomial 0x8005, start 0, unreflected (RFC 9639 section 9.3). Over a frame with its own
 * CRC at the end it is 0.
 */
export function crc16(bytes: Uint8Array, from: number, to: number): number {
  let crc = 0;
  let i = from;
  // Two bytes a step: the table for the first is that of a byte followed by a zero byte.
  for (; i + 1 < to; i += 2) crc = CRC_16_FAR[(crc >>> 8) ^ bytes[i]] ^ CRC_16[(crc & 0xff) ^ bytes[i + 1]];
  for (; i < to; i++) crc = ((crc << 8) & 0xffff) ^ CRC_16[(crc >>> 8) ^ bytes[i]];
  return crc;
}

const CRC_8 = Uint8Array.from({ length: 256 }, (_, byte) => {
  let crc = byte;
  for (let bit = 0; bit < 8; bit++) crc = ((crc << 1) ^ (crc & 0x80 ? 0x07 : 0)) & 0xff;
  return crc;
});

const CRC_16 = Uint16Array.from({ length: 256 }, (_, byte) => {
  let crc = byte << 8;
  for (let bit = 0; bit < 8; bit++) crc = ((crc << 1) ^ (crc & 0x8000 ? 0x8005 : 0)) & 0xffff;
  return crc;
});

const CRC_16_FAR = Uint16Array.from(CRC_16, (crc) => ((crc << 8) & 0xffff) ^ CRC_16[crc >>> 8]);
