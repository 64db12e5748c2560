import { AudioError } from '../../errors.ts';
import type { VorbisDecoding } from '../codecs.ts';
import { beginsWith, sameBytes } from '../signatures.ts';
import type { AudioComment } from '../types.ts';
import { parseVorbisComments } from '../vorbis-comment.ts';
import type { OggCodec, OggSamples } from './codec.ts';

/** Types of the header packets; packets of sound have an even first byte (Vorbis I, section 4.2.1). */
const COMMENTS = '\x03vorbis';
const SETUP = '\x05vorbis';

const IDENTIFICATION_BYTES = 30;
const MOST_CHANNELS = 8;
const RATE_HZ = { least: 4_000, most: 200_000 };

/**
 * Vorbis in Ogg (Vorbis I specification, appendix A).
 *
 * @throws AudioError `ogg-vorbis-head`, and from `decode` `ogg-vorbis-setup` when the tables that all packets need are
 * missing or damaged.
 */
export class OggVorbis implements OggCodec {
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly encoding = 'ogg vorbis';
  readonly skip = 0;
  comments: readonly AudioComment[] = [];
  isForeign = false;
  readonly #identification: Uint8Array;
  readonly #decoding: VorbisDecoding;
  /** The tables that the decoder was given for a stream before this one; null for the first. */
  readonly #tablesBefore: Uint8Array | null;
  #tables: Uint8Array | null = null;
  /** The first packet of a stream gives no sound of its own: it would be laid over the end of the stream before. */
  #isFirstPacket = true;
  #lastFrames = 0;

  /** @param identification the first packet (Vorbis I, section 4.2.2). */
  constructor(identification: Uint8Array, decoding: VorbisDecoding, tablesBefore: Uint8Array | null = null) {
    const view = new DataView(identification.buffer, identification.byteOffset, identification.byteLength);
    const isWhole = identification.length >= IDENTIFICATION_BYTES && view.getUint32(7, true) === 0;
    this.channels = isWhole ? identification[11] : 0;
    this.sampleRateHz = isWhole ? view.getUint32(12, true) : 0;
    const small = isWhole ? identification[28] & 15 : 0;
    const large = isWhole ? identification[28] >> 4 : 0;
    const isPlausible =
      this.channels >= 1 &&
      this.channels <= MOST_CHANNELS &&
      this.sampleRateHz >= RATE_HZ.least &&
      this.sampleRateHz <= RATE_HZ.most &&
      small >= 6 &&
      large <= 13 &&
      small <= large;
    if (!isPlausible) {
      throw new AudioError('ogg-vorbis-head', 'The header of the Vorbis stream is damaged. Copy the file again.');
    }
    this.#identification = identification.slice();
    this.#decoding = decoding;
    this.#tablesBefore = tablesBefore;
  }

  decode(packet: Uint8Array, intact: boolean): OggSamples | null {
    if (beginsWith(packet, COMMENTS)) {
      this.comments = parseVorbisComments(packet.subarray(COMMENTS.length));
      return null;
    }
    if (this.#tables === null) {
      this.#setUp(packet, intact);
      return null;
    }
    if (packet.length > 0 && (packet[0] & 1) === 1) return null;
    const decoded = packet.length === 0 ? null : this.#decoding.decode(packet);
    if (decoded === null) return { frames: this.#lastFrames, channels: null };
    const isFirst = this.#isFirstPacket;
    this.#isFirstPacket = false;
    if (isFirst) return { frames: 0, channels: decoded.channels };
    if (decoded.frames > 0) this.#lastFrames = decoded.frames;
    return decoded;
  }

  /** Other tables would need another decoder; one recorder's are the same from file to file. */
  following(first: Uint8Array): OggVorbis | null {
    if (!sameBytes(first, this.#identification)) return null;
    return new OggVorbis(first, this.#decoding, this.#tables);
  }

  free(): void {
    this.#decoding.free();
  }

  #setUp(packet: Uint8Array, intact: boolean): void {
    if (this.#tablesBefore !== null) {
      this.#tables = this.#tablesBefore;
      this.isForeign = !sameBytes(packet, this.#tablesBefore);
      return;
    }
    if (intact && beginsWith(packet, SETUP) && this.#decoding.begin(this.#identification, packet)) {
      this.#tables = packet.slice();
      return;
    }
    throw new AudioError(
      'ogg-vorbis-setup',
      'The tables at the start of the Vorbis stream are missing or damaged; without them nothing in it can be read. ' +
        'Copy the file again.',
    );
  }
}
