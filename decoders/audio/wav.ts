import { AudioError } from '../errors.ts';
import { ChunkReader, type SampleBytes } from './chunk-reader.ts';
import { type CueLabel, cueLabels, cuePoints, saysGap } from './cue-points.ts';
import { cutShortProblem } from './cut-short.ts';
import { ascii, infoEntry, SIMULATED } from './info-chunk.ts';
import { LastingFailure } from './lasting-failure.ts';
import { SampleStream } from './sample-stream.ts';
import type { RecordingStart } from './start-time.ts';
import { startFromBext, startFromInfo } from './start-time.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader, StatedStart } from './types.ts';
import type { WavFormat } from './wav-format.ts';
import { FMT_BYTES, parseWavFormat } from './wav-format.ts';

const MOST_KEPT_BYTES = 4096;
/** How much of a chunk's body is kept; the rest is skipped, whatever size it states. */
const KEPT_BYTES: ReadonlyMap<string, number> = new Map([
  ['fmt ', FMT_BYTES],
  ['ds64', 28],
  ['bext', 346],
  ['LIST', MOST_KEPT_BYTES],
  ['cue ', MOST_KEPT_BYTES],
]);

/** A size that says "not known": left by writers that cannot go back to the header (EBU Tech 3306; common practice). */
const UNKNOWN_SIZE = 0xffffffff;
/** Writers to a pipe that count in signed numbers state whole frames up to this, or more (seen, sox 14.4.2). */
const PIPE_SIZE = 0x7ffff000;

/**
 * Reads WAV as it comes: RIFF and, for more than 4 GiB, RF64 and BW64 (EBU Tech 3306, ITU-R BS.2088). PCM of 8, 16, 24
 * and 32 bits, float of 32 and 64, A-law and mu-law, plain or extensible header. Blocks have 4096 frames, the last one
 * what is left.
 *
 * Sizes are never trusted with memory: a few kilobytes of header and one block are all that is held. A data size of 0 or
 * 0xFFFFFFFF means "to the end of the input". `info.startedAt` may be known only after `end`, as `bext` and `LIST` may
 * stand behind the samples.
 *
 * Problems, complete after `end`: `cut-short`, `no-samples`, `not-finite`, `silent`, `clipped`, `trailing-bytes`,
 * `second-data-chunk`, `second-recording`, and `time-gaps` where a mark in the file says that time is missing.
 *
 * Errors: `empty-file`, `not-a-recording`, `wav-damaged-header`, `wav-no-format`, `wav-no-data`, and those of
 * `parseWavFormat`. After an error every call throws it again.
 */
export class WavReader implements AudioReader {
  #info: AudioInfo | null = null;
  readonly #problems: AudioProblem[] = [];
  readonly #failure = new LastingFailure();

  readonly #chunks = new ChunkReader('little-endian', MOST_KEPT_BYTES, {
    form: (header) => this.#beginRiff(header),
    keep: (id) => KEPT_BYTES.get(id) ?? 0,
    body: (id, bytes, size) => this.#useBody(id, bytes, size),
    samples: (bytes, onBlock) => this.#samples?.push(bytes, onBlock),
    noChunk: () => this.#endOfChunks(),
  });

  #is64 = false;
  #riffSize = 0;
  #dataSize64: number | null = null;
  #format: WavFormat | null = null;
  #bext: Uint8Array | null = null;
  #start: RecordingStart | null = null;
  #simulated = false;
  #cues: ReadonlyMap<number, number> = new Map();
  readonly #labels: CueLabel[] = [];
  #samples: SampleStream | null = null;
  #statedFrames: number | null = null;

  get info(): AudioInfo | null {
    return this.#info;
  }

  get problems(): readonly AudioProblem[] {
    return this.#problems;
  }

  get frameBytes(): number | null {
    return this.#format?.frameBytes ?? null;
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => this.#chunks.push(bytes, onBlock));
  }

  end(onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => {
      const { position, isBegun } = this.#chunks;
      if (position === 0) throw new AudioError('empty-file', 'The file is empty: it holds no bytes at all.');
      if (!isBegun) {
        throw new AudioError('not-a-recording', `The file ends after ${position} bytes; it is no recording.`);
      }
      if (this.#samples === null || this.#format === null) {
        throw new AudioError('wav-no-data', 'The WAV file ends before its samples begin. Record or copy it again.');
      }
      this.#samples.end(onBlock);
      this.#problems.push(...this.#samples.problems());
      this.#reportCut(this.#samples.frames, this.#format.sampleRateHz);
      this.#reportGap(this.#format.sampleRateHz);
    });
  }

  #beginRiff(header: Uint8Array): void {
    const id = ascii(header, 0, 4);
    if (!['RIFF', 'RF64', 'BW64'].includes(id) || ascii(header, 8, 12) !== 'WAVE') {
      throw new AudioError('not-a-recording', 'The file does not begin as a WAV file does; it is no WAV recording.');
    }
    this.#is64 = id !== 'RIFF';
    this.#riffSize = viewOf(header).getUint32(4, true);
  }

  /** No chunk stands where one should: fatal before the samples, no harm after them. */
  #endOfChunks(): void {
    if (this.#samples === null) {
      throw new AudioError(
        'wav-damaged-header',
        `The WAV header is damaged: no chunk name stands at byte ${this.#chunks.position - 8}. Copy the file again.`,
      );
    }
    this.#report('trailing-bytes', 'Bytes that belong to no chunk follow the samples; they were left out.');
  }

  #beginSamples(size: number): SampleBytes {
    if (this.#format === null) {
      throw new AudioError('wav-no-format', 'The WAV file holds samples but not their format. Save it again as WAV.');
    }
    const { sampleFormat, channels, sampleRateHz, frameBytes } = this.#format;
    const from64 = this.#is64 && size === UNKNOWN_SIZE ? this.#dataSize64 : null;
    const stated = from64 ?? size;
    // Of a killed recorder's header neither size was ever filled in; an empty recording has its RIFF size.
    const isEmpty = stated === 0 && this.#riffSize < PIPE_SIZE && this.#riffSize + 8 > this.#chunks.position;
    const isOpen = (stated === 0 && !isEmpty) || (stated === UNKNOWN_SIZE && from64 === null);
    const isPipe = from64 === null && stated + frameBytes > PIPE_SIZE;
    if (!isOpen && !isPipe) this.#statedFrames = Math.floor(stated / frameBytes);
    this.#samples = new SampleStream(sampleFormat, channels, sampleRateHz);
    this.#updateInfo();
    return { from: 0, to: isOpen ? Number.POSITIVE_INFINITY : stated };
  }

  #useBody(id: string, body: Uint8Array, size: number): SampleBytes | null {
    switch (id) {
      case 'data':
        if (this.#samples === null) return this.#beginSamples(size);
        this.#report('second-data-chunk', 'The file holds a second stretch of samples; only the first was read.');
        break;
      case 'fmt ':
        this.#format ??= parseWavFormat(body);
        break;
      case 'ds64':
        if (this.#is64 && body.length >= 16) {
          this.#riffSize = uint64(body, 0);
          // With all bits set it is as unknown here as in 32 bits.
          this.#dataSize64 = uint64(body, 8) < 2 ** 63 ? uint64(body, 8) : null;
        }
        break;
      case 'bext':
        this.#bext = body.slice();
        break;
      case 'RIFF':
        this.#report(
          'second-recording',
          'Another recording follows in the same file; only the first was read. Cut it in two.',
        );
        break;
      case 'cue ':
        this.#cues = cuePoints(body);
        break;
      case 'LIST':
        this.#labels.push(...cueLabels(body));
        this.#learnStart(startFromInfo(body));
        this.#simulated ||= infoEntry(body, 'ICMT')?.startsWith(SIMULATED) ?? false;
        this.#updateInfo();
        break;
    }
    // `bext` may stand before the rate that its count of samples needs.
    if (this.#bext !== null && this.#format !== null) {
      this.#learnStart(startFromBext(this.#bext, this.#format.sampleRateHz));
      this.#bext = null;
    }
    return null;
  }

  /** The first stated time holds, but one with its zone is worth more than one without. */
  #learnStart(start: RecordingStart | null): void {
    if (start === null || (this.#start !== null && (this.#start.zoneStated || !start.zoneStated))) return;
    this.#start = start;
    this.#updateInfo();
  }

  #updateInfo(): void {
    if (this.#samples === null || this.#format === null) return;
    const { sampleRateHz, channels, encoding } = this.#format;
    const startedAt = this.#start === null ? null : statedStart(this.#start);
    const facts = { sampleRateHz, channels, encoding, statedFrames: this.#statedFrames, startedAt };
    this.#info = this.#simulated ? { ...facts, simulated: true } : facts;
  }

  #reportCut(frames: number, sampleRateHz: number): void {
    const problem = cutShortProblem(this.#statedFrames, frames, sampleRateHz);
    if (problem !== null) this.#problems.push(problem);
  }

  /** The first mark at which somebody wrote that time is missing. */
  #reportGap(sampleRateHz: number): void {
    const marks = this.#labels.flatMap(({ id, text }) => {
      const at = this.#cues.get(id);
      return at !== undefined && saysGap(text) ? [{ atSeconds: at / sampleRateHz, text }] : [];
    });
    const first = marks.sort((a, b) => a.atSeconds - b.atSeconds)[0];
    if (first === undefined) return;
    const { atSeconds, text } = first;
    const message = `A mark in the file at ${atSeconds.toFixed(1)} s says "${text}": times behind it are uncertain.`;
    this.#problems.push({ code: 'time-gaps', message, atSeconds });
  }

  #report(code: string, message: string): void {
    this.#problems.push({ code, message, atSeconds: null });
  }
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

function uint64(bytes: Uint8Array, at: number): number {
  return viewOf(bytes).getUint32(at, true) + viewOf(bytes).getUint32(at + 4, true) * 2 ** 32;
}

function statedStart({ iso, source, zoneStated }: RecordingStart): StatedStart {
  return zoneStated ? { iso, source } : { iso, source, zoneStated };
}
