import { AudioError } from '../errors.ts';
import { ascii } from './info-chunk.ts';
import type { NumberLayout } from './number-layout.ts';
import { requirePlausible } from './plausible-format.ts';
import { BYTES_PER_SAMPLE } from './sample-format.ts';

export interface AiffFormat {
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly layout: NumberLayout;
  /** Bytes of one sample of every channel. */
  readonly frameBytes: number;
  /** For instance `aiff pcm 16`. */
  readonly encoding: string;
}

/** Bytes of a `COMM` chunk that matter: up to the compression type of AIFF-C. */
export const COMM_BYTES = 22;

const CONVERT = 'Convert the recording to 16-bit PCM WAV and try again.';

const plain = (format: NumberLayout['format']): NumberLayout => ({ format, isBigEndian: true, turnsSign: false });
const PCM: readonly NumberLayout[] = [
  // Signed, where `pcm8` is not.
  { ...plain('pcm8'), turnsSign: true },
  plain('pcm16'),
  plain('pcm24'),
  plain('pcm32'),
];

/** Compression types whose samples have one layout (AIFF-C; `in24`, `in32` and their mirrors common practice). */
const LAYOUTS: Readonly<Record<string, NumberLayout>> = {
  fl32: plain('float32'),
  fl64: plain('float64'),
  in24: plain('pcm24'),
  in32: plain('pcm32'),
  '42ni': { ...plain('pcm24'), isBigEndian: false },
  '23ni': { ...plain('pcm32'), isBigEndian: false },
  alaw: plain('a-law'),
  ulaw: plain('mu-law'),
  'raw ': plain('pcm8'),
};

/**
 * Reads the body of a `COMM` chunk (Apple, Audio Interchange File Format 1.3 and AIFF-C; layout from memory, confirmed
 * on written files). Samples fill their bytes from the top.
 *
 * @param isCompressed whether the form is AIFC, which names a compression type, `NONE` and `sowt` (little-endian) among
 * them.
 * @throws AudioError `aiff-format` (too short), `sample-rate`, `channel-count`, `aiff-encoding` or `aiff-bits`.
 */
export function parseAiffFormat(body: Uint8Array, isCompressed: boolean): AiffFormat {
  const needed = isCompressed ? COMM_BYTES : 18;
  if (body.length < needed) {
    throw new AudioError('aiff-format', `The AIFF format chunk holds ${body.length} bytes of ${needed}. ${CONVERT}`);
  }
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  const channels = view.getUint16(0);
  const bits = view.getUint16(6);
  const sampleRateHz = extendedFloat(view, 8);
  requirePlausible('AIFF', channels, sampleRateHz);
  const layout = layoutOf(isCompressed ? ascii(body, 18, 22) : 'NONE', bits);
  return {
    sampleRateHz,
    channels,
    layout,
    frameBytes: channels * BYTES_PER_SAMPLE[layout.format],
    encoding: `aiff ${layout.format.replace(/^(pcm|float)/, '$1 ')}`,
  };
}

function layoutOf(type: string, bits: number): NumberLayout {
  const known = LAYOUTS[type] ?? LAYOUTS[type.toLowerCase()];
  if (known !== undefined) return known;
  if (!['NONE', 'twos', 'sowt'].includes(type)) {
    throw new AudioError('aiff-encoding', `The AIFF file is encoded as "${type}", which is not read here. ${CONVERT}`);
  }
  const pcm = PCM[Math.ceil(bits / 8) - 1];
  if (pcm === undefined) {
    throw new AudioError('aiff-bits', `The AIFF header claims samples of ${bits} bits; 1 to 32 can be. ${CONVERT}`);
  }
  return type === 'sowt' ? { ...pcm, isBigEndian: false } : pcm;
}

/** An IEEE 754 number of 80 bits: sign, 15 bits of exponent, 64 bits of fraction with the one before the point. */
function extendedFloat(view: DataView, at: number): number {
  const exponent = view.getUint16(at);
  const fraction = view.getUint32(at + 2) * 2 ** 32 + view.getUint32(at + 6);
  const magnitude = fraction * 2 ** ((exponent & 0x7fff) - 16_383 - 63);
  return exponent & 0x8000 ? -magnitude : magnitude;
}
