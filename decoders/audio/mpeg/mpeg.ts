import { AudioError } from '../../errors.ts';
import { BlockStream } from '../block-stream.ts';
import { type AudioCodecs, codecOf, type MpegDecoding } from '../codecs.ts';
import { DamageLog } from '../damage-log.ts';
import { jointProblem, secondStreamProblem } from '../joint.ts';
import { LastingFailure } from '../lasting-failure.ts';
import { beginsWith } from '../signatures.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader } from '../types.ts';
import { type FoundFrame, MpegFrameFinder } from './frame-finder.ts';
import { isSameForm, MPEG_HEADER_BYTES, type MpegFrameHeader, parseMpegHeader } from './frame-header.ts';
import { beginsStream, type MpegInfo, readMpegInfo } from './info-frame.ts';

/** Bytes without a frame after which a file is no MPEG audio. */
const MOST_BYTES_BEFORE = 2 ** 17;
/** How far bytes without a frame may miss a whole number of frames of one length and still have been frames. */
const STRAY_BYTES = 4;
/** How what may stand before and behind the sound of a file begins: tags, */
const TAGS = ['TAG', 'APETAGEX', 'LYRICSBEGIN', 'ID3'];
/** and their padding. */
const PADDING = '\0\0\0\0';

/**
 * Reads MPEG audio of layers II and III (MP3). Bytes in which frames were lost become silence of the length that they had
 * by the usual length of a frame. What cannot be noticed, as frames carry neither position nor check: bytes removed from
 * the middle, and wrong bytes inside a frame, which make noise. The
 * encoder's delay and padding are cut off where the file states them. Files of one form that were joined are read as one; where
 * tags or a description of frames stand between them, that is noticed.
 *
 * Problems: `damaged`, `cut-short`, `trailing-bytes`, `time-gaps`, `second-stream`, and those of `BlockStream`.
 *
 * Errors: `not-a-recording` when the first 128 KiB hold no stream of frames, `codec-not-loaded`.
 */
export class MpegReader implements AudioReader {
  readonly #decoding: MpegDecoding;
  readonly #finder = new MpegFrameFinder();
  readonly #damage = new DamageLog();
  readonly #problems: AudioProblem[] = [];
  #blocks: BlockStream | null = null;
  #info: AudioInfo | null = null;
  readonly #failure = new LastingFailure(() => this.#decoding.free());
  /** Frames of sound so far, the lost ones included. */
  #frames = 0;
  #bytesPushed = 0;
  /** Frames that were there, their bytes, and the shortest and longest of them. */
  readonly #found = { frames: 0, bytes: 0, shortest: Number.POSITIVE_INFINITY, longest: 0 };
  #stated: MpegInfo = { frames: null, padding: null };
  /** Where a second file begins, when one does. */
  #jointSeconds: number | null = null;
  /** Samples at the start that are still to be cut off. */
  #skip = 0;
  /** The last frames, of which some samples may have to be cut off: null for silence. */
  readonly #held: (readonly Float32Array[] | null)[] = [];

  constructor(codecs: AudioCodecs) {
    this.#decoding = codecOf(codecs.mpeg, 'MP3');
  }

  get info(): AudioInfo | null {
    return this.#info;
  }

  get problems(): readonly AudioProblem[] {
    return this.#problems;
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => {
      this.#bytesPushed += bytes.length;
      this.#finder.push(bytes, (found) => this.#take(found, onBlock));
      if (this.#finder.form === null && this.#bytesPushed > MOST_BYTES_BEFORE) throw refusal();
    });
  }

  end(onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => {
      this.#finder.end((found) => this.#take(found, onBlock));
      if (this.#blocks === null || this.#finder.form === null) throw refusal();
      this.#decoding.free();
      this.#release(this.#finder.form, onBlock);
      this.#blocks.end(onBlock);
      this.#problems.push(
        ...this.#damage.problems(),
        ...(this.#jointSeconds === null ? [] : [jointProblem(this.#jointSeconds)]),
        ...this.#endProblems(this.#finder.form),
        ...this.#blocks.problems(),
      );
    });
  }

  #take({ header, frame, skipped, skippedHead }: FoundFrame, onBlock: (block: AudioBlock) => void): void {
    if (this.#info === null) {
      this.#begin(header, frame);
      if (readMpegInfo(frame, header) !== null) return;
    } else {
      const isDescription = beginsStream(frame, header);
      if (isDescription || isTag(skippedHead)) this.#jointSeconds ??= this.#seconds(this.#frames, header);
      else if (skipped > 0) this.#bridge(skipped, skippedHead, header, onBlock);
      if (isDescription) return;
    }
    this.#count(frame.length);
    const decoded = this.#decoding.decode(frame);
    const isWhole = decoded?.frames === header.samples;
    if (!isWhole) this.#damage.add(this.#seconds(this.#frames, header), this.#seconds(this.#frames + 1, header));
    this.#hold(isWhole ? decoded.channels : null, header, onBlock);
  }

  #begin(header: MpegFrameHeader, frame: Uint8Array): void {
    const { sampleRateHz, channels, layer, samples } = header;
    this.#stated = readMpegInfo(frame, header) ?? this.#stated;
    const { frames, padding } = this.#stated;
    this.#skip = padding?.before ?? 0;
    const cut = padding === null ? 0 : padding.before + padding.behind;
    const statedFrames = frames === null ? null : Math.max(0, frames * samples - cut);
    this.#info = { sampleRateHz, channels, encoding: layer === 3 ? 'mp3' : 'mp2', statedFrames, startedAt: null };
    this.#blocks = new BlockStream(channels);
  }

  /** Puts silence for the frames that bytes between two frames seem to have been. */
  #bridge(bytes: number, head: Uint8Array, header: MpegFrameHeader, onBlock: (block: AudioBlock) => void): void {
    if (beginsWith(head, PADDING)) return;
    const lost = this.#lostFrames(bytes);
    this.#damage.add(this.#seconds(this.#frames, header), this.#seconds(this.#frames + lost, header));
    for (let i = 0; i < lost; i++) this.#hold(null, header, onBlock);
  }

  #lostFrames(bytes: number): number {
    const { frames, shortest, longest } = this.#found;
    if (frames === 0) return 0;
    const usual = this.#found.bytes / frames;
    const lost = Math.round(bytes / usual);
    // Frames of one length leave a hole of whole frames; what is not was put in between, unless it is a frame's rest.
    const isForeign = longest - shortest <= 1 && lost >= 2 && Math.abs(bytes - lost * usual) > STRAY_BYTES;
    return isForeign ? 0 : lost;
  }

  #count(bytes: number): void {
    const found = this.#found;
    found.frames++;
    found.bytes += bytes;
    found.shortest = Math.min(found.shortest, bytes);
    found.longest = Math.max(found.longest, bytes);
  }

  #hold(
    channels: readonly Float32Array[] | null,
    { samples }: MpegFrameHeader,
    onBlock: (block: AudioBlock) => void,
  ): void {
    this.#frames++;
    this.#held.push(channels);
    const kept = Math.ceil((this.#stated.padding?.behind ?? 0) / samples);
    while (this.#held.length > kept) this.#write(this.#held.shift() ?? null, samples, onBlock);
  }

  /** Gives out what is still held, without the encoder's padding if all frames have come that the file states. */
  #release({ samples }: MpegFrameHeader, onBlock: (block: AudioBlock) => void): void {
    const isComplete = this.#frames === this.#stated.frames;
    let left = this.#held.length * samples - (isComplete ? (this.#stated.padding?.behind ?? 0) : 0);
    for (const channels of this.#held) {
      this.#write(channels, Math.max(0, Math.min(left, samples)), onBlock);
      left -= samples;
    }
  }

  #write(channels: readonly Float32Array[] | null, samples: number, onBlock: (block: AudioBlock) => void): void {
    const from = Math.min(this.#skip, samples);
    this.#skip -= from;
    if (channels === null) this.#blocks?.pushSilence(samples - from, onBlock);
    else this.#blocks?.push(channels, from, samples, onBlock);
  }

  /** Where in the recording a frame begins. */
  #seconds(frame: number, { samples, sampleRateHz }: MpegFrameHeader): number {
    return Math.max(0, frame * samples - (this.#stated.padding?.before ?? 0)) / sampleRateHz;
  }

  #endProblems(form: MpegFrameHeader): AudioProblem[] {
    const { bytes, first } = this.#finder.tail;
    const atSeconds = this.#seconds(this.#frames, form);
    const begun = first.length >= MPEG_HEADER_BYTES ? parseMpegHeader(first, 0) : null;
    const { frames } = this.#stated;
    if ((begun !== null && isSameForm(begun, form)) || (frames !== null && this.#frames < frames)) {
      const message = 'The file is cut short: its last frames are missing. Copy it again if that is not all.';
      return [{ code: 'cut-short', message, atSeconds }];
    }
    if (this.#finder.hasOtherForm) return [secondStreamProblem(atSeconds)];
    if (bytes < MPEG_HEADER_BYTES || isTag(first) || beginsWith(first, PADDING)) return [];
    const message = 'Bytes that are no MP3 follow the sound; they were left out.';
    return [{ code: 'trailing-bytes', message, atSeconds }];
  }
}

function isTag(bytes: Uint8Array): boolean {
  return TAGS.some((tag) => beginsWith(bytes, tag));
}

/** Nothing can be read, now or later. */
function refusal(): AudioError {
  return new AudioError(
    'not-a-recording',
    'The file begins like MP3, but no frames of MP3 follow. If it is one, it is damaged: copy it again.',
  );
}
