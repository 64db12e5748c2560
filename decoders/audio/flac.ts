import { AudioError } from '../errors.ts';
import { cutShortProblem } from './cut-short.ts';
import { FrameFinder, type FrameTaker } from './flac/frame-finder.ts';
import { type FrameFormat, FrameTrack } from './flac/frame-track.ts';
import { MetadataReader } from './flac/metadata.ts';
import { secondStreamProblem } from './joint.ts';
import { LastingFailure } from './lasting-failure.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader } from './types.ts';
import { saySimulated } from './vorbis-comment.ts';

/** What reads the frames, once the metadata is read. */
interface FrameSearch {
  readonly finder: FrameFinder;
  readonly track: FrameTrack;
  /** Byte of the file that the first frame should begin with. */
  readonly startByte: number;
}

/**
 * Reads native FLAC (RFC 9639) as it comes: 4 to 32 bits, 1 to 8 channels, fixed and variable block size, length known
 * or not. Every frame is held to its checksums; what does not fit them costs its own stretch only, for which silence
 * stands. Blocks have 4096 frames, the last one what is left.
 *
 * Problems, complete after `end`: `cut-short`, `trailing-bytes`, `second-stream`, and those of `FrameTrack`.
 *
 * Errors: `empty-file`, `not-a-recording`, `flac-no-frames`, `sample-rate`. After an error every call throws it again.
 */
export class FlacReader implements AudioReader {
  #info: AudioInfo | null = null;
  readonly #problems: AudioProblem[] = [];
  readonly #failure = new LastingFailure();
  /** Bytes read so far. */
  #position = 0;
  readonly #metadata = new MetadataReader();
  #frames: FrameSearch | null = null;

  get info(): AudioInfo | null {
    this.#info ??= this.#describe(this.#frames?.track.format ?? null);
    return this.#info;
  }

  get problems(): readonly AudioProblem[] {
    return this.#problems;
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => {
      const at = this.#frames === null ? this.#metadata.push(bytes) : 0;
      this.#position += bytes.length;
      if (!this.#metadata.isDone) return;
      this.#frames ??= this.#beginFrames(this.#position - bytes.length + at, onBlock);
      this.#frames.finder.push(bytes.subarray(at), takerOf(this.#frames.track, onBlock));
    });
  }

  end(onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => {
      if (this.#position === 0) throw new AudioError('empty-file', 'The file is empty: it holds no bytes at all.');
      if (!this.#metadata.isBegun) {
        throw new AudioError('not-a-recording', `The file ends after ${this.#position} bytes; it is no recording.`);
      }
      if (this.#frames === null) throw noFrames('The FLAC file ends before its samples begin.');
      const { finder, track, startByte } = this.#frames;
      finder.end(takerOf(track, onBlock));
      if (track.format === null && this.#position > startByte) {
        throw noFrames(`The FLAC file is damaged: not one intact frame stands in its ${this.#position} bytes.`);
      }
      const endsDamaged = track.end(onBlock);
      if (track.format === null) this.#info = this.#describeEmpty();
      this.#problems.push(...track.problems());
      if (finder.passedMarker) this.#problems.push(secondStreamProblem(track.seconds));
      else this.#reportEnd(track, finder.isCutShort, endsDamaged ? 0 : finder.passedBytes);
    });
  }

  #beginFrames(startByte: number, onBlock: (block: AudioBlock) => void): FrameSearch {
    const { streamInfo, leftover } = this.#metadata;
    const track = new FrameTrack(streamInfo);
    const finder = new FrameFinder(streamInfo?.mostFrameBytes ?? null);
    finder.push(leftover, takerOf(track, onBlock));
    return { finder, track, startByte: startByte - leftover.length };
  }

  #describe(format: FrameFormat | null): AudioInfo | null {
    if (format === null) return null;
    const { comments } = this.#metadata;
    return {
      sampleRateHz: format.sampleRateHz,
      channels: format.channels,
      encoding: `flac ${format.bitsPerSample}`,
      statedFrames: this.#statedFrames(),
      startedAt: null,
      ...(saySimulated(comments) ? { simulated: true } : {}),
      ...(comments.length > 0 ? { comments } : {}),
    };
  }

  /** A recorder that was stopped at once leaves a header and no frame. */
  #describeEmpty(): AudioInfo {
    const { streamInfo } = this.#metadata;
    const info = streamInfo === null || streamInfo.totalFrames !== null ? null : this.#describe(streamInfo);
    if (info === null) throw noFrames('The FLAC file ends before its samples begin.');
    return info;
  }

  /** A header that its frames contradict is not believed in its length either. */
  #statedFrames(): number | null {
    const isBelieved = this.#frames?.track.isAsStated ?? false;
    return isBelieved ? (this.#metadata.streamInfo?.totalFrames ?? null) : null;
  }

  #reportEnd({ frames, format }: FrameTrack, endsWithinFrame: boolean, trailingBytes: number): void {
    if (format === null) return;
    const cutShort = cutShortProblem(this.#statedFrames(), frames, format.sampleRateHz);
    const atSeconds = frames / format.sampleRateHz;
    if (cutShort !== null) {
      this.#problems.push(cutShort);
    } else if (endsWithinFrame) {
      const message = `The file is cut short: it ends within a frame, after ${atSeconds.toFixed(1)} s. Copy it again if that is not all.`;
      this.#problems.push({ code: 'cut-short', message, atSeconds });
    } else if (trailingBytes > 0) {
      const message = `The last ${trailingBytes} bytes of the file belong to no frame; they were left out.`;
      this.#problems.push({ code: 'trailing-bytes', message, atSeconds: null });
    }
  }
}

function takerOf(track: FrameTrack, onBlock: (block: AudioBlock) => void): FrameTaker {
  return {
    bitsPerSample: (header) => track.bitsPerSample(header),
    take: (header, channels, passed) => track.take(header, channels, passed, onBlock),
    lose: (header, passedBytes) => track.lose(header, passedBytes),
  };
}

function noFrames(what: string): AudioError {
  return new AudioError('flac-no-frames', `${what} Record or copy it again.`);
}
