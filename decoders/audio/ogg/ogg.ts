import { AudioError } from '../../errors.ts';
import { BlockStream } from '../block-stream.ts';
import type { AudioCodecs } from '../codecs.ts';
import { DamageLog } from '../damage-log.ts';
import { jointProblem, secondStreamProblem } from '../joint.ts';
import { LastingFailure } from '../lasting-failure.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader } from '../types.ts';
import { saySimulated } from '../vorbis-comment.ts';
import type { OggCodec, OggSamples } from './codec.ts';
import { OggPackets } from './packets.ts';
import { type OggPage, OggPageReader } from './page-reader.ts';
import { beginOggCodec, oggStreamName } from './streams.ts';
import { OggTimeBase } from './time-base.ts';

interface Stream {
  readonly serial: number;
  readonly codec: OggCodec;
  readonly packets: OggPackets;
  readonly timeBase: OggTimeBase;
  /** A page of sound has come. */
  isRunning: boolean;
  /** Its last page has come. */
  isOver: boolean;
}

/**
 * Reads the first logical stream of sound in an Ogg file (RFC 3533). Pages are found again after damage; what is lost
 * becomes silence of its length, so that everything behind it keeps its time. Another stream behind it goes on where it
 * ends, if it has the same form; how long its recorder paused between them nobody says.
 *
 * Problems: `damaged`, `cut-short`, `second-stream`, `time-gaps`, and those of `BlockStream`.
 *
 * Errors: `ogg-no-sound` when no stream that is read begins in the file, `codec-not-loaded`, those of its codecs.
 */
export class OggReader implements AudioReader {
  readonly #codecs: AudioCodecs;
  readonly #pages = new OggPageReader();
  readonly #damage = new DamageLog();
  #stream: Stream | null = null;
  #blocks: BlockStream | null = null;
  #info: AudioInfo | null = null;
  readonly #failure = new LastingFailure(() => this.#stream?.codec.free());
  /** Names of the streams that are not read. */
  readonly #others = new Set<string>();
  readonly #problems: AudioProblem[] = [];

  constructor(codecs: AudioCodecs) {
    this.#codecs = codecs;
  }

  get info(): AudioInfo | null {
    return this.#info;
  }

  get problems(): readonly AudioProblem[] {
    return this.#problems;
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => this.#pages.push(bytes, (page) => this.#take(page, onBlock)));
  }

  end(onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => {
      this.#pages.end((page) => this.#take(page, onBlock));
      if (this.#stream === null || this.#blocks === null) throw this.#noSound();
      this.#stream.codec.free();
      this.#blocks.end(onBlock);
      this.#problems.push(...this.#damage.problems(), ...this.#cut(this.#stream), ...this.#blocks.problems());
    });
  }

  #take(page: OggPage, onBlock: (block: AudioBlock) => void): void {
    if (page.first && page.serial !== this.#stream?.serial) this.#meet(page);
    else if (this.#stream?.serial === page.serial && !page.first) this.#read(this.#stream, page, onBlock);
  }

  /** A logical stream begins. */
  #meet(page: OggPage): void {
    const [first] = new OggPackets().take(page).packets;
    if (first === undefined) return;
    const before = this.#stream;
    if (before !== null && !before.isRunning && !before.isOver) return;
    const codec = before === null ? beginOggCodec(first, this.#codecs) : this.#following(first, before);
    if (codec === null) {
      this.#others.add(oggStreamName(first));
      return;
    }
    const { sampleRateHz, channels, encoding, skip } = codec;
    this.#blocks ??= new BlockStream(channels);
    this.#info ??= { sampleRateHz, channels, encoding, statedFrames: null, startedAt: null };
    if (before !== null) this.#reportJoint();
    const packets = new OggPackets();
    packets.take(page);
    const timeBase = new OggTimeBase(this.#blocks, this.#damage, sampleRateHz, skip);
    this.#stream = { serial: page.serial, codec, packets, timeBase, isRunning: false, isOver: false };
  }

  /** A stream behind the one that was read: null when it cannot be a part of the same recording. */
  #following(first: Uint8Array, before: Stream): OggCodec | null {
    const codec = before.codec.following(first);
    if (codec !== null) return codec;
    this.#leaveOut(before);
    return null;
  }

  #leaveOut(stream: Stream): void {
    this.#problems.push(secondStreamProblem(this.#seconds));
    stream.isOver = true;
  }

  #reportJoint(): void {
    if (this.#problems.some(({ code }) => code === 'time-gaps')) return;
    this.#problems.push(jointProblem(this.#seconds));
  }

  #read(stream: Stream, page: OggPage, onBlock: (block: AudioBlock) => void): void {
    if (stream.isOver) return;
    const { packets, gap } = stream.packets.take(page);
    const { intact, granule, last } = page;
    const samples: OggSamples[] = [];
    for (const packet of packets) {
      const decoded = stream.codec.decode(packet, intact);
      if (decoded !== null) samples.push(decoded);
    }
    this.#learn(stream.codec);
    if (stream.codec.isForeign) {
      this.#leaveOut(stream);
      return;
    }
    stream.isRunning ||= samples.length > 0;
    stream.timeBase.place(samples, { granule, gap, last: last && intact }, onBlock);
    if (!intact || samples.some(({ channels }) => channels === null)) {
      const frames = samples.reduce((sum, each) => sum + each.frames, 0);
      const seconds = this.#seconds;
      this.#damage.add(Math.max(0, seconds - frames / stream.codec.sampleRateHz), seconds, 'doubtful');
    }
    stream.isOver = last && intact;
  }

  /** What the headers behind the first say. */
  #learn({ comments }: OggCodec): void {
    if (this.#info === null || comments.length === 0 || this.#info.comments !== undefined) return;
    this.#info = { ...this.#info, comments, ...(saySimulated(comments) ? { simulated: true } : {}) };
  }

  get #seconds(): number {
    return this.#blocks === null || this.#info === null ? 0 : this.#blocks.frames / this.#info.sampleRateHz;
  }

  #cut(stream: Stream): AudioProblem[] {
    if (stream.isOver) return [];
    const message =
      'The file has no last page: it is cut short, or its recorder was. Copy it again if that is not all.';
    return [{ code: 'cut-short', message, atSeconds: this.#seconds }];
  }

  #noSound(): AudioError {
    const found = this.#others.size === 0 ? 'none' : [...this.#others].join(', ');
    return new AudioError(
      'ogg-no-sound',
      `No Opus, Vorbis or FLAC stream begins in the Ogg file (streams found: ${found}). If it was cut out of a longer one or is ` +
        'damaged at its start, copy it again from the start.',
    );
  }
}
