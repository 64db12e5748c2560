import { BlockStream } from '../block-stream.ts';
import { DamageLog } from '../damage-log.ts';
import { jointProblem } from '../joint.ts';
import { requirePlausible } from '../plausible-format.ts';
import type { AudioBlock, AudioProblem } from '../types.ts';
import type { PassedBytes } from './frame-finder.ts';
import type { FrameHeader } from './frame-header.ts';
import type { StreamInfo } from './stream-info.ts';

/** What all frames of a stream have in common. */
export interface FrameFormat {
  readonly sampleRateHz: number;
  readonly channels: number;
  readonly bitsPerSample: number;
}

/** No frame has fewer bytes: header, one subframe, CRC. */
const LEAST_FRAME_BYTES = 10;
/** So much silence, altogether, may stand for frames of which no bytes are left; a longer jump is not believed. */
const MOST_LOST_SECONDS = 600;

/**
 * Puts the intact frames of a FLAC stream where their numbers say (RFC 9639 section 9.1.5), so that a damaged stretch
 * costs no more than itself: silence stands for it, and the time of what follows holds.
 *
 * Frames and headers that contradict STREAMINFO are believed: they have checksums, STREAMINFO has none.
 *
 * Where another FLAC file begins between two frames the count begins anew: files were joined.
 *
 * Errors: `sample-rate`. Problems: `damaged`, `time-jump`, `time-gaps`, `damaged-header`, and those of `BlockStream`.
 */
export class FrameTrack {
  /** Of the first intact frame, and all that were taken. */
  format: FrameFormat | null = null;
  readonly #stated: StreamInfo | null;
  #blocks = new BlockStream(0);
  readonly #scaled: Float32Array[] = [];
  /** Block size by which frame numbers are counted, where they are. */
  #blockSize = 0;
  /** Sample number, as the frames count, of the first sample given out. */
  #origin = 0;
  /** Frames of silence that may still stand for bytes that are gone. */
  #lostLeft = 0;
  /** End of the last stretch that a header told of while its frame was damaged. */
  #lostUntil = 0;
  readonly #damage = new DamageLog();
  #jumps = 0;
  #firstJumpSeconds = 0;
  /** Where the first file ends, when another follows. */
  #jointFrame: number | null = null;

  constructor(stated: StreamInfo | null) {
    this.#stated = stated;
  }

  /** Frames placed so far. */
  get frames(): number {
    return this.#blocks.frames;
  }

  get seconds(): number {
    return this.format === null ? 0 : this.frames / this.format.sampleRateHz;
  }

  /** Whether the frames are what STREAMINFO says; true as long as there are none. */
  get isAsStated(): boolean {
    const { format } = this;
    const stated = this.#stated;
    if (format === null) return true;
    return (
      stated !== null &&
      stated.sampleRateHz === format.sampleRateHz &&
      stated.channels === format.channels &&
      stated.bitsPerSample === format.bitsPerSample
    );
  }

  /** Bits of a sample of a frame; null when the frame is not of this stream. */
  bitsPerSample(header: FrameHeader): number | null {
    const format = this.#formatOf(header);
    if (format === null) return null;
    const { sampleRateHz, channels, bitsPerSample } = this.format ?? format;
    const fits =
      format.sampleRateHz === sampleRateHz && format.channels === channels && format.bitsPerSample === bitsPerSample;
    return fits ? bitsPerSample : null;
  }

  /**
   * Places an intact frame of this stream.
   *
   * @param channels its samples as integers.
   * @param passed what could not be read since the frame before.
   */
  take(
    header: FrameHeader,
    channels: readonly Int32Array[],
    { bytes: passedBytes, holdMarker }: PassedBytes,
    onBlock: (block: AudioBlock) => void,
  ): void {
    const isJoint = holdMarker && this.format !== null;
    const format = this.format ?? this.#begin(header, passedBytes);
    if (format === null) return;
    if (isJoint) this.#beginAnew(header);
    let gap = this.#startOf(header) - this.#origin - this.frames;
    if (gap < 0 || gap > this.#heldBy(passedBytes, header) + this.#lostLeft) {
      if (this.#jumps === 0) this.#firstJumpSeconds = this.frames / format.sampleRateHz;
      this.#jumps++;
      this.#origin += gap;
      gap = 0;
    }
    if (gap > 0 || (passedBytes > 0 && !isJoint)) {
      this.#lostLeft -= Math.max(0, gap - this.#heldBy(passedBytes, header));
      this.#fill(gap, format, onBlock);
    }
    this.#push(header, channels, format, onBlock);
    this.#lostUntil = 0;
  }

  /** Remembers what a header says of a frame that is damaged itself: how far the recording goes at least. */
  lose(header: FrameHeader, passedBytes: number): void {
    const gap = this.#startOf(header) - this.#origin - this.frames;
    if (this.format === null || gap < 0 || gap > this.#heldBy(passedBytes, header)) return;
    this.#lostUntil = Math.max(this.#lostUntil, this.frames + gap + header.blockSize);
  }

  /** Says that no more frames come. Returns whether damaged ones were the last. */
  end(onBlock: (block: AudioBlock) => void): boolean {
    const lost = this.#lostUntil - this.frames;
    if (this.format !== null && lost > 0) this.#fill(lost, this.format, onBlock);
    this.#blocks.end(onBlock);
    return lost > 0;
  }

  problems(): AudioProblem[] {
    const problems = [...this.#damage.problems(), ...this.#blocks.problems()];
    if (!this.isAsStated) {
      const message = 'The header of the FLAC file is damaged; what its frames say of themselves was believed.';
      problems.unshift({ code: 'damaged-header', message, atSeconds: 0 });
    }
    if (this.#jumps > 0) {
      const message =
        `The count of time in the file jumps at ${this.#firstJumpSeconds.toFixed(2)} s` +
        (this.#jumps > 1 ? ` and ${this.#jumps - 1} times more` : '') +
        '; what follows was taken to follow at once. Was the file joined from several recordings?';
      problems.push({ code: 'time-jump', message, atSeconds: this.#firstJumpSeconds });
    }
    if (this.format !== null && this.#jointFrame !== null) {
      problems.push(jointProblem(this.#jointFrame / this.format.sampleRateHz));
    }
    return problems;
  }

  #formatOf({ sampleRateHz, channels, bitsPerSample }: FrameHeader): FrameFormat | null {
    const known = this.format ?? this.#stated;
    const rate = sampleRateHz ?? known?.sampleRateHz ?? 0;
    const bits = bitsPerSample ?? known?.bitsPerSample ?? 0;
    return rate > 0 && bits > 0 ? { sampleRateHz: rate, channels, bitsPerSample: bits } : null;
  }

  #begin(header: FrameHeader, passedBytes: number): FrameFormat | null {
    const format = this.#formatOf(header);
    if (format === null) return null;
    requirePlausible('FLAC', format.channels, format.sampleRateHz);
    const { leastBlockSize, mostBlockSize } = this.#stated ?? { leastBlockSize: 0, mostBlockSize: 0 };
    // Only the last frame may be shorter than the others.
    this.#blockSize = Math.max(header.blockSize, leastBlockSize === mostBlockSize ? mostBlockSize : 0);
    // A stream that was joined midway does not begin at 0; one whose first frames are damaged does.
    const start = this.#startOf(header);
    this.#origin = start <= this.#heldBy(passedBytes, header) ? 0 : start;
    this.#blocks = new BlockStream(format.channels);
    this.#lostLeft = MOST_LOST_SECONDS * format.sampleRateHz;
    this.format = format;
    return format;
  }

  /** Another file begins, with numbers of its own. */
  #beginAnew({ blockSize }: FrameHeader): void {
    this.#jointFrame ??= this.frames;
    this.#blockSize = blockSize;
    this.#origin = -this.frames;
  }

  #startOf({ isVariable, number }: FrameHeader): number {
    return isVariable ? number : number * this.#blockSize;
  }

  /** Frames that so many bytes may have held. */
  #heldBy(bytes: number, { blockSize }: FrameHeader): number {
    return Math.ceil(bytes / LEAST_FRAME_BYTES) * Math.max(blockSize, this.#blockSize);
  }

  #fill(frames: number, { sampleRateHz }: FrameFormat, onBlock: (block: AudioBlock) => void): void {
    this.#damage.add(this.frames / sampleRateHz, (this.frames + frames) / sampleRateHz);
    this.#blocks.pushSilence(frames, onBlock);
  }

  #push(
    header: FrameHeader,
    channels: readonly Int32Array[],
    { bitsPerSample }: FrameFormat,
    onBlock: (block: AudioBlock) => void,
  ): void {
    const frames = header.blockSize;
    const step = 2 ** (1 - bitsPerSample);
    for (let c = 0; c < header.channels; c++) {
      if ((this.#scaled[c]?.length ?? 0) < frames) this.#scaled[c] = new Float32Array(frames);
      scale(channels[c], step, this.#scaled[c], frames);
    }
    this.#blocks.push(this.#scaled, 0, frames, onBlock);
  }
}

function scale(from: Int32Array, step: number, to: Float32Array, frames: number): void {
  for (let i = 0; i < frames; i++) to[i] = from[i] * step;
}
