import { AudioError } from '../errors.ts';
import { requirePlausible } from './plausible-format.ts';
import type { SampleFormat } from './sample-format.ts';
import { BYTES_PER_SAMPLE } from './sample-format.ts';

export interface WavFormat {
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly sampleFormat: SampleFormat;
  /** Bytes of one sample of every channel. */
  readonly frameBytes: number;
  /** For instance `wav pcm 16`. */
  readonly encoding: string;
}

/** Bytes of a `fmt ` chunk that matter: WAVEFORMATEXTENSIBLE. */
export const FMT_BYTES = 40;

const PCM = 1;
const FLOAT = 3;
const A_LAW = 6;
const MU_LAW = 7;
const EXTENSIBLE = 0xfffe;

/** Tail of the SubFormat GUID that carries a format tag (RFC 2361, appendix A). */
const GUID_TAIL = [0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xaa, 0x00, 0x38, 0x9b, 0x71];

/** Names of tags that are met and not read (RFC 2361, from memory). */
const NOT_READ: Readonly<Record<number, string>> = {
  2: 'Microsoft ADPCM',
  17: 'IMA ADPCM',
  49: 'GSM 6.10',
  64: 'G.721 ADPCM',
  80: 'MPEG audio',
  85: 'MP3',
  255: 'AAC',
  353: 'Windows Media Audio',
};

const CONVERT = 'Convert the recording to 16-bit PCM WAV and try again.';

/**
 * Reads the body of a `fmt ` chunk (RIFF WAVE; fields as in WAVEFORMATEX and WAVEFORMATEXTENSIBLE).
 *
 * Samples fill their container from the top, so 20 bits in 3 bytes read as 24 bits; the container is what block align
 * says, or the bits rounded up to bytes when block align cannot be right.
 *
 * @throws AudioError `wav-format` (too short), `sample-rate`, `channel-count`, `wav-encoding` or `wav-bits`.
 */
export function parseWavFormat(body: Uint8Array): WavFormat {
  if (body.length < 16) {
    throw new AudioError('wav-format', `The WAV format chunk holds ${body.length} bytes, 16 are needed. ${CONVERT}`);
  }
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  const channels = view.getUint16(2, true);
  const sampleRateHz = view.getUint32(4, true);
  const blockAlign = view.getUint16(12, true);
  const bits = view.getUint16(14, true);
  const tag = formatTag(body, view);

  requirePlausible('WAV', channels, sampleRateHz);
  const container = blockAlign > 0 && blockAlign % channels === 0 ? blockAlign / channels : Math.ceil(bits / 8);
  const sampleFormat = chooseSampleFormat(tag, container, bits);
  return {
    sampleRateHz,
    channels,
    sampleFormat,
    frameBytes: channels * BYTES_PER_SAMPLE[sampleFormat],
    encoding: `wav ${sampleFormat.replace(/^(pcm|float)/, '$1 ')}`,
  };
}

/** The format tag, taken from the SubFormat where the header is extensible. */
function formatTag(body: Uint8Array, view: DataView): number {
  const tag = view.getUint16(0, true);
  if (tag !== EXTENSIBLE) return tag;
  const known = body.length >= FMT_BYTES && GUID_TAIL.every((byte, i) => body[26 + i] === byte);
  if (known) return view.getUint16(24, true);
  throw new AudioError('wav-encoding', `The WAV header names its encoding in an unknown way. ${CONVERT}`);
}

function chooseSampleFormat(tag: number, container: number, bits: number): SampleFormat {
  switch (tag) {
    case PCM:
      if (container >= 1 && container <= 4 && bits <= 8 * container && bits > 0) {
        return (['pcm8', 'pcm16', 'pcm24', 'pcm32'] as const)[container - 1];
      }
      break;
    case FLOAT:
      if (container === 4 && bits === 32) return 'float32';
      if (container === 8 && bits === 64) return 'float64';
      break;
    case A_LAW:
      if (container === 1) return 'a-law';
      break;
    case MU_LAW:
      if (container === 1) return 'mu-law';
      break;
    default: {
      const name = NOT_READ[tag] ?? `tag 0x${tag.toString(16).padStart(4, '0')}`;
      throw new AudioError('wav-encoding', `The WAV file is encoded as ${name}, which is not read here. ${CONVERT}`);
    }
  }
  throw new AudioError(
    'wav-bits',
    `The WAV header claims samples of ${bits} bits in ${container} bytes (format tag ${tag}), which cannot be. ${CONVERT}`,
  );
}
