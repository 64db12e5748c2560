/** What the header of a frame of MPEG audio says (ISO/IEC 11172-3, 2.4.1.3 and 13818-3, 2.4.1.3). */
export interface MpegFrameHeader {
  /** 1, 2, or 2.5 for the half rates that are not in the standard (common practice). */
  readonly version: 1 | 2 | 2.5;
  readonly layer: 2 | 3;
  readonly sampleRateHz: number;
  readonly channels: 1 | 2;
  /** Length of the frame, header included. */
  readonly bytes: number;
  readonly samples: number;
}

export const MPEG_HEADER_BYTES = 4;
/** Layer II of MPEG-1 at 384 kbit/s and 32 kHz, padded. */
export const LARGEST_MPEG_FRAME = 1729;

const RATES_HZ = [44_100, 48_000, 32_000];
/** Rates in kbit/s by index (11172-3, table in 2.4.2.3; 13818-3, 2.4.2.3). */
const KBITS: Readonly<Record<'1-2' | '1-3' | '2', readonly number[]>> = {
  '1-2': [0, 32, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384],
  '1-3': [0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320],
  '2': [0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160],
};

/**
 * Reads the header of a frame of layer II or III at `at`, of which four bytes must be there. Null when there is none, or one
 * whose length it does not tell ("free format").
 */
export function parseMpegHeader(bytes: Uint8Array, at: number): MpegFrameHeader | null {
  if (bytes[at] !== 0xff || (bytes[at + 1] & 0xe0) !== 0xe0) return null;
  const version = ([2.5, null, 2, 1] as const)[(bytes[at + 1] >> 3) & 3];
  const layer = ([null, 3, 2, null] as const)[(bytes[at + 1] >> 1) & 3];
  const rateIndex = bytes[at + 2] >> 4;
  const frequencyIndex = (bytes[at + 2] >> 2) & 3;
  const emphasis = bytes[at + 3] & 3;
  if (version === null || layer === null || frequencyIndex === 3 || emphasis === 2) return null;
  const kbits = KBITS[version !== 1 ? '2' : layer === 2 ? '1-2' : '1-3'][rateIndex];
  if (!kbits) return null;
  const sampleRateHz = RATES_HZ[frequencyIndex] / (version === 1 ? 1 : version === 2 ? 2 : 4);
  const samples = layer === 3 && version !== 1 ? 576 : 1152;
  const padding = (bytes[at + 2] >> 1) & 1;
  return {
    version,
    layer,
    sampleRateHz,
    channels: bytes[at + 3] >> 6 === 3 ? 1 : 2,
    bytes: Math.floor((samples / 8) * ((1000 * kbits) / sampleRateHz)) + padding,
    samples,
  };
}

/** Whether two frames can belong to one stream: what a stream may change is its rate and the way it codes two channels. */
export function isSameForm(a: MpegFrameHeader, b: MpegFrameHeader): boolean {
  return (
    a.version === b.version && a.layer === b.layer && a.sampleRateHz === b.sampleRateHz && a.channels === b.channels
  );
}
