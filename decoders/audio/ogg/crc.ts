/** CRC-32 with polynomial 0x04c11db7, start 0, neither reflected nor inverted (RFC 3533, section 6). */
const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let crc = byte << 24;
  for (let bit = 0; bit < 8; bit++) crc = crc & 0x80000000 ? (crc << 1) ^ 0x04c11db7 : crc << 1;
  return crc >>> 0;
});

/** Where a page's own CRC stands; it counts as zero. */
const CRC_AT = 22;

/** The CRC of the page that fills `page[from..to)`. */
export function pageCrc(page: Uint8Array, from: number, to: number): number {
  let crc = 0;
  for (let i = from; i < to; i++) {
    const byte = i >= from + CRC_AT && i < from + CRC_AT + 4 ? 0 : page[i];
    crc = (crc << 8) ^ TABLE[((crc >>> 24) ^ byte) & 0xff];
  }
  return crc >>> 0;
}
