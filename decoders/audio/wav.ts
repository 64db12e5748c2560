import { AudioError } from '../errors.ts';
import { infoEntry, SIMULATED } from './info-chunk.ts';
import { SampleStream } from './sample-stream.ts';
import type { RecordingStart } from './start-time.ts';
import { startFromBext, startFromInfo } from './start-time.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader, StatedStart } from './types.ts';
import type { WavFormat } from './wav-format.ts';
import { FMT_BYTES, parseWavFormat } from './wav-format.ts';

/** How much of a chunk's body is kept; the rest is skipped, whatever size it states. */
const KEPT_BYTES: ReadonlyMap<string, number> = new Map([
  ['fmt ', FMT_BYTES],
  ['ds64', 28],
  ['bext', 346],
  ['LIST', 4096],
]);

/** A size that says "not known": left by writers that cannot go back to the header (EBU Tech 3306; common practice). */
const UNKNOWN_SIZE = 0xffffffff;
/** Writers to a pipe that count in signed numbers state whole frames up to this, or more (seen, sox 14.4.2). */
const PIPE_SIZE = 0x7ffff000;

/** What the next bytes are; `trailing` bytes belong to nothing. */
type State = 'riff' | 'chunk' | 'body' | 'skip' | 'samples' | 'pad' | 'trailing';

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
 * `second-data-chunk`.
 *
 * Errors: `empty-file`, `not-a-recording`, `wav-damaged-header`, `wav-no-format`, `wav-no-data`, and those of
 * `parseWavFormat`. After an error every call throws it again.
 */
export class WavReader implements AudioReader {
  #info: AudioInfo | null = null;
  readonly #problems: AudioProblem[] = [];
  #failure: AudioError | null = null;

  #state: State = 'riff';
  /** Bytes read so far. */
  #position = 0;
  readonly #kept = new Uint8Array(4096);
  #keptLength = 0;
  #chunkId = '';
  /** Bytes of the chunk's body that are still to come. */
  #left = 0;
  #padded = false;

  #is64 = false;
  #riffSize = 0;
  #dataSize64: number | null = null;
  #format: WavFormat | null = null;
  #bext: Uint8Array | null = null;
  #start: RecordingStart | null = null;
  #simulated = false;
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
    this.#guarded(() => {
      for (let at = 0; at < bytes.length; ) at += this.#step(bytes, at, onBlock);
    });
  }

  end(onBlock: (block: AudioBlock) => void): void {
    this.#guarded(() => {
      if (this.#position === 0) throw new AudioError('empty-file', 'The file is empty: it holds no bytes at all.');
      if (this.#state === 'riff') {
        throw new AudioError('not-a-recording', `The file ends after ${this.#position} bytes; it is no recording.`);
      }
      if (this.#samples === null || this.#format === null) {
        throw new AudioError('wav-no-data', 'The WAV file ends before its samples begin. Record or copy it again.');
      }
      this.#samples.end(onBlock);
      this.#problems.push(...this.#samples.problems());
      this.#reportCut(this.#samples.frames, this.#format.sampleRateHz);
    });
  }

  /** An error met once is met again: nothing can be read after it. */
  #guarded(read: () => void): void {
    if (this.#failure !== null) throw this.#failure;
    try {
      read();
    } catch (error) {
      if (error instanceof AudioError) this.#failure = error;
      throw error;
    }
  }

  /** Takes bytes from `at` on as far as the present state goes. Returns how many. */
  #step(bytes: Uint8Array, at: number, onBlock: (block: AudioBlock) => void): number {
    switch (this.#state) {
      case 'riff':
        return this.#keep(bytes, at, 12, () => this.#beginRiff());
      case 'chunk':
        return this.#keep(bytes, at, 8, () => this.#beginChunk());
      case 'body': {
        const wanted = Math.min(KEPT_BYTES.get(this.#chunkId) ?? 0, this.#left);
        return this.#keep(bytes, at, wanted, () => {
          this.#left -= wanted;
          this.#useBody(this.#kept.subarray(0, wanted));
          this.#goOn('skip');
        });
      }
      case 'skip':
      case 'samples': {
        const taken = Math.min(this.#left, bytes.length - at);
        if (this.#state === 'samples') this.#samples?.push(bytes.subarray(at, at + taken), onBlock);
        this.#left -= taken;
        this.#position += taken;
        this.#goOn(this.#state);
        return taken;
      }
      case 'pad': {
        this.#state = 'chunk';
        // Some writers forget the pad byte; a chunk's name never begins with zero.
        const taken = bytes[at] === 0 ? 1 : 0;
        this.#position += taken;
        return taken;
      }
      case 'trailing':
        return bytes.length - at;
    }
  }

  /** Gathers `wanted` bytes in `#kept`, then calls `use`. Returns how many it took. */
  #keep(bytes: Uint8Array, at: number, wanted: number, use: () => void): number {
    const taken = Math.min(wanted - this.#keptLength, bytes.length - at);
    this.#kept.set(bytes.subarray(at, at + taken), this.#keptLength);
    this.#keptLength += taken;
    this.#position += taken;
    if (this.#keptLength === wanted) {
      this.#keptLength = 0;
      use();
    }
    return taken;
  }

  /** Stays in a chunk's body until it is used up. */
  #goOn(state: 'skip' | 'samples'): void {
    this.#state = this.#left > 0 ? state : this.#padded ? 'pad' : 'chunk';
  }

  #beginRiff(): void {
    const id = this.#name(0);
    if (!['RIFF', 'RF64', 'BW64'].includes(id) || this.#name(8) !== 'WAVE') {
      throw new AudioError('not-a-recording', 'The file does not begin as a WAV file does; it is no WAV recording.');
    }
    this.#is64 = id !== 'RIFF';
    this.#riffSize = this.#uint32(4);
    this.#state = 'chunk';
  }

  #beginChunk(): void {
    this.#chunkId = this.#name(0);
    this.#left = this.#uint32(4);
    this.#padded = this.#left % 2 === 1;
    if (!/^[\x20-\x7e]{4}$/.test(this.#chunkId)) {
      this.#endOfChunks();
    } else if (this.#chunkId !== 'data') {
      if (KEPT_BYTES.has(this.#chunkId) && this.#left > 0) this.#state = 'body';
      else this.#goOn('skip');
    } else if (this.#samples === null) {
      this.#beginSamples();
      this.#goOn('samples');
    } else {
      this.#report('second-data-chunk', 'The file holds a second stretch of samples; only the first was read.');
      this.#goOn('skip');
    }
  }

  /** No chunk stands where one should: fatal before the samples, no harm after them. */
  #endOfChunks(): void {
    if (this.#samples === null) {
      throw new AudioError(
        'wav-damaged-header',
        `The WAV header is damaged: no chunk name stands at byte ${this.#position - 8}. Copy the file again.`,
      );
    }
    this.#report('trailing-bytes', 'Bytes that belong to no chunk follow the samples; they were left out.');
    this.#state = 'trailing';
  }

  #beginSamples(): void {
    if (this.#format === null) {
      throw new AudioError('wav-no-format', 'The WAV file holds samples but not their format. Save it again as WAV.');
    }
    const { sampleFormat, channels, sampleRateHz, frameBytes } = this.#format;
    const from64 = this.#is64 && this.#left === UNKNOWN_SIZE ? this.#dataSize64 : null;
    const stated = from64 ?? this.#left;
    // Of a killed recorder's header neither size was ever filled in; an empty recording has its RIFF size.
    const isEmpty = stated === 0 && this.#riffSize < PIPE_SIZE && this.#riffSize + 8 > this.#position;
    const isOpen = (stated === 0 && !isEmpty) || (stated === UNKNOWN_SIZE && from64 === null);
    this.#left = isOpen ? Number.POSITIVE_INFINITY : stated;
    this.#padded = !isOpen && stated % 2 === 1;
    const isPipe = from64 === null && stated + frameBytes > PIPE_SIZE;
    if (!isOpen && !isPipe) this.#statedFrames = Math.floor(stated / frameBytes);
    this.#samples = new SampleStream(sampleFormat, channels, sampleRateHz);
    this.#updateInfo();
  }

  #useBody(body: Uint8Array): void {
    switch (this.#chunkId) {
      case 'fmt ':
        this.#format ??= parseWavFormat(body);
        break;
      case 'ds64':
        if (this.#is64 && body.length >= 16) {
          this.#riffSize = this.#uint64(0);
          this.#dataSize64 = this.#uint64(8);
        }
        break;
      case 'bext':
        this.#bext = body.slice();
        break;
      case 'LIST':
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
    if (this.#statedFrames === null || frames >= this.#statedFrames) return;
    const got = (frames / sampleRateHz).toFixed(1);
    const stated = (this.#statedFrames / sampleRateHz).toFixed(1);
    const message = `The file is cut short: it states ${stated} s and holds ${got} s. Copy it again if that is not all.`;
    this.#problems.push({ code: 'cut-short', message, atSeconds: frames / sampleRateHz });
  }

  #report(code: string, message: string): void {
    this.#problems.push({ code, message, atSeconds: null });
  }

  #name(at: number): string {
    return String.fromCharCode(...this.#kept.subarray(at, at + 4));
  }

  #uint32(at: number): number {
    const b = this.#kept;
    return (b[at] | (b[at + 1] << 8) | (b[at + 2] << 16) | (b[at + 3] << 24)) >>> 0;
  }

  #uint64(at: number): number {
    return this.#uint32(at) + this.#uint32(at + 4) * 2 ** 32;
  }
}

function statedStart({ iso, source, zoneStated }: RecordingStart): StatedStart {
  return zoneStated ? { iso, source } : { iso, source, zoneStated };
}
