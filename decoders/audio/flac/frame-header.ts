import { crc8 } from './crc.ts';

/** How two channels were put together: as they are, or one of them as the difference (RFC 9639 section 4.2). */
export type Decorrelation = 'none' | 'left-side' | 'side-right' | 'mid-side';

/** What stands in front of every frame (RFC 9639 section 9.1). */
export interface FrameHeader {
  /** Whether `number` counts samples; else it counts frames. */
  readonly isVariable: boolean;
  readonly number: number;
  /** Samples of each channel. */
  readonly blockSize: number;
  /** Null where the frame leaves it to STREAMINFO. */
  readonly sampleRateHz: number | null;
  readonly channels: number;
  readonly decorrelation: Decorrelation;
  /** 4 to 32; null where the frame leaves it to STREAMINFO. */
  readonly bitsPerSample: number | null;
  /** Bytes of the header, its CRC included. */
  readonly bytes: number;
}

/** No frame header is longer. */
export const MOST_HEADER_BYTES = 16;

/**
 * The frame header that stands at byte `at`.
 *
 * @param to end of the bytes.
 * @returns null when none stands there: no sync code, a reserved value, a CRC-8 that does not fit; `incomplete` when the
 * bytes end before that is known.
 */
export function parseFrameHeader(bytes: Uint8Array, at: number, to: number): FrameHeader | null | 'incomplete' {
  if (to - at < 2) return to > at && bytes[at] !== 0xff ? null : 'incomplete';
  if (bytes[at] !== 0xff || (bytes[at + 1] & 0xfe) !== 0xf8) return null;
  if (to - at < 5) return 'incomplete';
  const sizeCode = bytes[at + 2] >> 4;
  const rateCode = bytes[at + 2] & 15;
  const channelCode = bytes[at + 3] >> 4;
  const depthCode = (bytes[at + 3] >> 1) & 7;
  const isReserved = sizeCode === 0 || rateCode === 15 || channelCode > 10 || depthCode === 3 || bytes[at + 3] & 1;
  if (isReserved) return null;

  const isVariable = (bytes[at + 1] & 1) === 1;
  const numberBytes = codedNumberBytes(bytes[at + 4]);
  if (numberBytes === 0 || (numberBytes === 7 && !isVariable)) return null;
  const sizeAt = at + 4 + numberBytes;
  const rateAt = sizeAt + (sizeCode === 6 ? 1 : sizeCode === 7 ? 2 : 0);
  const crcAt = rateAt + (rateCode === 12 ? 1 : rateCode > 12 ? 2 : 0);
  if (crcAt >= to) return 'incomplete';
  if (crc8(bytes, at, crcAt) !== bytes[crcAt]) return null;

  const number = codedNumber(bytes, at + 4, numberBytes);
  const blockSize = blockSizeOf(sizeCode, bytes, sizeAt);
  if (number === null || blockSize > 65535) return null;
  return {
    isVariable,
    number,
    blockSize,
    sampleRateHz: sampleRateOf(rateCode, bytes, rateAt),
    channels: channelCode < 8 ? channelCode + 1 : 2,
    decorrelation: (['left-side', 'side-right', 'mid-side'] as const)[channelCode - 8] ?? 'none',
    bitsPerSample: DEPTHS[depthCode],
    bytes: crcAt + 1 - at,
  };
}

/** By their codes in the header, 1 to 11. */
export const RATES_HZ = [0, 88_200, 176_400, 192_000, 8000, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 96_000];
const DEPTHS = [null, 8, 12, null, 16, 20, 24, 32];

function blockSizeOf(code: number, bytes: Uint8Array, at: number): number {
  if (code === 1) return 192;
  if (code < 6) return 144 << code;
  if (code === 6) return bytes[at] + 1;
  if (code === 7) return bytes[at] * 256 + bytes[at + 1] + 1;
  return 1 << code;
}

function sampleRateOf(code: number, bytes: Uint8Array, at: number): number | null {
  if (code === 0) return null;
  if (code < 12) return RATES_HZ[code];
  if (code === 12) return 1000 * bytes[at];
  return (bytes[at] * 256 + bytes[at + 1]) * (code === 14 ? 10 : 1);
}

/** Bytes of a number coded as in UTF-8, drawn out to seven bytes; 0 when it cannot begin so. */
function codedNumberBytes(first: number): number {
  const ones = Math.clz32(~(first << 24));
  return ones === 0 ? 1 : ones === 1 || ones === 8 ? 0 : ones;
}

function codedNumber(bytes: Uint8Array, at: number, length: number): number | null {
  let number = length === 1 ? bytes[at] : bytes[at] & (0x7f >> length);
  for (let i = at + 1; i < at + length; i++) {
    if ((bytes[i] & 0xc0) !== 0x80) return null;
    number = number * 64 + (bytes[i] & 0x3f);
  }
  return number;
}
