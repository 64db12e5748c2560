import { AudioError } from '../../errors.ts';
import type { OpusDecoding } from '../codecs.ts';
import { beginsWith } from '../signatures.ts';
import type { AudioComment } from '../types.ts';
import { parseVorbisComments } from '../vorbis-comment.ts';
import type { OggCodec, OggSamples } from './codec.ts';
import { opusPacketSamples } from './opus-packet.ts';

/** Opus in Ogg always counts samples of 48 kHz, whatever it was recorded at (RFC 7845, section 4). */
const RATE_HZ = 48_000;
/** What a packet is taken for that cannot be read, until one could: the usual 20 ms. */
const USUAL_SAMPLES = 960;
/** How the second packet begins: comments (RFC 7845, section 5.2). */
const TAGS = 'OpusTags';

/**
 * Opus in Ogg (RFC 7845): pre-skip, output gain, one or two channels of mapping family 0.
 *
 * @throws AudioError `ogg-opus-head` and `channel-count`.
 */
export class OggOpus implements OggCodec {
  readonly sampleRateHz = RATE_HZ;
  readonly channels: number;
  readonly encoding = 'ogg opus';
  readonly skip: number;
  comments: readonly AudioComment[] = [];
  readonly #gain: number;
  readonly #decoding: OpusDecoding;
  #lastSamples = USUAL_SAMPLES;

  /** @param head the first packet: OpusHead (RFC 7845, section 5.1). */
  constructor(head: Uint8Array, decoding: OpusDecoding) {
    if (head.length < 19 || head[8] > 15) {
      throw new AudioError('ogg-opus-head', 'The header of the Opus stream is damaged or of a version to come.');
    }
    if (head[9] !== decoding.channels || head[18] !== 0) {
      throw new AudioError(
        'channel-count',
        `The Opus stream has ${head[9]} channels of mapping family ${head[18]}; one or two of family 0 can be read. ` +
          'Convert it to WAV and try again.',
      );
    }
    const view = new DataView(head.buffer, head.byteOffset, head.byteLength);
    this.channels = head[9];
    this.skip = view.getUint16(10, true);
    this.#gain = 10 ** (view.getInt16(16, true) / 256 / 20);
    this.#decoding = decoding;
  }

  decode(packet: Uint8Array, intact: boolean): OggSamples | null {
    if (beginsWith(packet, TAGS)) {
      this.comments = parseVorbisComments(packet.subarray(TAGS.length));
      return null;
    }
    const stated = opusPacketSamples(packet);
    // Encoders keep to one length: another one in a damaged page is the damage, and would shift all that follows.
    const isUsable = stated !== null && (intact || stated === this.#lastSamples);
    const decoded = isUsable ? this.#decoding.decode(packet) : null;
    if (decoded === null) return { frames: isUsable ? stated : this.#lastSamples, channels: null };
    this.#lastSamples = decoded.frames;
    if (this.#gain !== 1) {
      for (const channel of decoded.channels) {
        for (let i = 0; i < channel.length; i++) channel[i] *= this.#gain;
      }
    }
    return decoded;
  }

  following(first: Uint8Array): OggOpus | null {
    if (!beginsWith(first, 'OpusHead')) return null;
    return first[9] === this.channels ? new OggOpus(first, this.#decoding) : null;
  }

  free(): void {
    this.#decoding.free();
  }
}
