import { AudioError } from '../errors.ts';
import { type AiffFormat, COMM_BYTES, parseAiffFormat } from './aiff-format.ts';
import { ChunkReader, type SampleBytes } from './chunk-reader.ts';
import { cutShortProblem } from './cut-short.ts';
import { ascii, SIMULATED } from './info-chunk.ts';
import { LastingFailure } from './lasting-failure.ts';
import { NumberConverter } from './number-layout.ts';
import { SampleStream } from './sample-stream.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader } from './types.ts';

const MOST_KEPT_BYTES = 1024;
/** How much of a chunk's body is kept: format, what stands before the samples, comments. */
const KEPT_BYTES: ReadonlyMap<string, number> = new Map([
  ['COMM', COMM_BYTES],
  ['SSND', 8],
  ['ANNO', MOST_KEPT_BYTES],
  ['COMT', MOST_KEPT_BYTES],
]);

/** A size that says "not known", as writers leave it that cannot go back to the header (common practice). */
const UNKNOWN_SIZE = 0xffffffff;
/** Where the text of the first comment begins in a `COMT` chunk: behind count, time, marker and length. */
const COMMENT_TEXT_AT = 10;

/** Chunks come in any order (AIFF-C draft); samples before their format are held up to this. */
const MOST_HELD_BYTES = 2 ** 25;

interface Sound {
  readonly numbers: NumberConverter;
  readonly samples: SampleStream;
}

/**
 * Reads AIFF and AIFF-C as they come: PCM of 1 to 32 bits of either byte order, float of 32 and 64, A-law and mu-law.
 * Blocks have 4096 frames, the last one what is left. A sample chunk of size 0 or 0xFFFFFFFF goes on to the end of the
 * input. Up to 32 MiB of samples may stand before their format.
 *
 * Problems, complete after `end`: `cut-short`, `trailing-bytes`, `second-sample-chunk`, and those of `SampleStream`.
 *
 * Errors: `empty-file`, `not-a-recording`, `aiff-damaged-header`, `aiff-no-format`, `aiff-no-data`, and those of
 * `parseAiffFormat`. After an error every call throws it again.
 */
export class AiffReader implements AudioReader {
  #info: AudioInfo | null = null;
  readonly #problems: AudioProblem[] = [];
  readonly #failure = new LastingFailure();
  readonly #chunks = new ChunkReader('big-endian', MOST_KEPT_BYTES, {
    form: (header) => this.#beginForm(header),
    keep: (id) => KEPT_BYTES.get(id) ?? 0,
    body: (id, bytes, size) => this.#useBody(id, bytes, size),
    samples: (bytes, onBlock) => (this.#sound === null ? this.#hold(bytes) : this.#play(this.#sound, bytes, onBlock)),
    noChunk: () => this.#endOfChunks(),
  });

  #isCompressed = false;
  #format: AiffFormat | null = null;
  #sound: Sound | null = null;
  /** Samples that came before their format, in a chunk of this size with its first bytes. */
  #early: { readonly body: Uint8Array; readonly size: number } | null = null;
  #held: Uint8Array[] = [];
  #heldBytes = 0;
  #statedFrames: number | null = null;
  #simulated = false;

  get info(): AudioInfo | null {
    return this.#info;
  }

  get problems(): readonly AudioProblem[] {
    return this.#problems;
  }

  get frameBytes(): number | null | undefined {
    // Whose format comes last cannot be read from the middle.
    return this.#early === null ? (this.#format?.frameBytes ?? null) : undefined;
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => {
      this.#chunks.push(bytes, onBlock);
      this.#playHeld(onBlock);
    });
  }

  end(onBlock: (block: AudioBlock) => void): void {
    this.#failure.guard(() => {
      const { position, isBegun } = this.#chunks;
      if (position === 0) throw new AudioError('empty-file', 'The file is empty: it holds no bytes at all.');
      if (!isBegun) {
        throw new AudioError('not-a-recording', `The file ends after ${position} bytes; it is no recording.`);
      }
      if (this.#early !== null && this.#format === null) throw noFormat();
      if (this.#sound === null || this.#format === null) {
        throw new AudioError('aiff-no-data', 'The AIFF file ends before its samples begin. Record or copy it again.');
      }
      const { samples } = this.#sound;
      samples.end(onBlock);
      this.#problems.push(...samples.problems());
      this.#reportCut(samples.frames, this.#format.sampleRateHz);
    });
  }

  #beginForm(header: Uint8Array): void {
    const form = ascii(header, 8, 12);
    if (ascii(header, 0, 4) !== 'FORM' || !['AIFF', 'AIFC'].includes(form)) {
      throw new AudioError('not-a-recording', 'The file does not begin as an AIFF file does; it is no AIFF recording.');
    }
    this.#isCompressed = form === 'AIFC';
  }

  #useBody(id: string, body: Uint8Array, size: number): SampleBytes | null {
    switch (id) {
      case 'COMM':
        this.#format ??= parseAiffFormat(body, this.#isCompressed);
        if (this.#early !== null && this.#sound === null) this.#begin(this.#format, this.#early.body, this.#early.size);
        break;
      case 'SSND':
        if (this.#sound === null && this.#early === null) return this.#beginSamples(body, size);
        this.#report('second-sample-chunk', 'The file holds a second stretch of samples; only the first was read.');
        break;
      case 'ANNO':
      case 'COMT':
        this.#simulated ||= ascii(body, id === 'ANNO' ? 0 : COMMENT_TEXT_AT, body.length).startsWith(SIMULATED);
        this.#updateInfo();
        break;
    }
    return null;
  }

  #beginSamples(body: Uint8Array, size: number): SampleBytes {
    if (this.#format !== null) return this.#begin(this.#format, body, size);
    // To the end of the input nothing can follow.
    if (isOpenEnded(size)) throw noFormat();
    this.#early = { body: body.slice(), size };
    return sampleBytes(body, size);
  }

  #begin({ layout, channels, sampleRateHz, frameBytes }: AiffFormat, body: Uint8Array, size: number): SampleBytes {
    this.#sound = {
      numbers: new NumberConverter(layout),
      samples: new SampleStream(layout.format, channels, sampleRateHz),
    };
    const { from, to } = sampleBytes(body, size);
    if (!isOpenEnded(size)) this.#statedFrames = Math.max(0, Math.floor((to - from) / frameBytes));
    this.#updateInfo();
    return { from, to };
  }

  #play({ numbers, samples }: Sound, bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    samples.push(numbers.convert(bytes), onBlock);
  }

  #hold(bytes: Uint8Array): void {
    this.#heldBytes += bytes.length;
    if (this.#heldBytes > MOST_HELD_BYTES) throw noFormat();
    this.#held.push(bytes.slice());
  }

  #playHeld(onBlock: (block: AudioBlock) => void): void {
    if (this.#sound === null || this.#held.length === 0) return;
    for (const bytes of this.#held) this.#play(this.#sound, bytes, onBlock);
    this.#held = [];
  }

  /** No chunk stands where one should: fatal before the samples, no harm after them. */
  #endOfChunks(): void {
    if (this.#sound === null) {
      throw new AudioError(
        'aiff-damaged-header',
        `The AIFF header is damaged: no chunk name stands at byte ${this.#chunks.position - 8}. Copy the file again.`,
      );
    }
    this.#report('trailing-bytes', 'Bytes that belong to no chunk follow the samples; they were left out.');
  }

  #updateInfo(): void {
    if (this.#sound === null || this.#format === null) return;
    const { sampleRateHz, channels, encoding } = this.#format;
    const facts = { sampleRateHz, channels, encoding, statedFrames: this.#statedFrames, startedAt: null };
    this.#info = this.#simulated ? { ...facts, simulated: true } : facts;
  }

  #reportCut(frames: number, sampleRateHz: number): void {
    const problem = cutShortProblem(this.#statedFrames, frames, sampleRateHz);
    if (problem !== null) this.#problems.push(problem);
  }

  #report(code: string, message: string): void {
    this.#problems.push({ code, message, atSeconds: null });
  }
}

const isOpenEnded = (size: number): boolean => size === 0 || size === UNKNOWN_SIZE;

/** Where the samples stand in the body of a sample chunk, which begins with their offset. */
function sampleBytes(body: Uint8Array, size: number): SampleBytes {
  const offset = body.length === 8 ? new DataView(body.buffer, body.byteOffset).getUint32(0) : 0;
  return { from: 8 + offset, to: isOpenEnded(size) ? Number.POSITIVE_INFINITY : size };
}

function noFormat(): AudioError {
  return new AudioError(
    'aiff-no-format',
    `The AIFF file does not state the format of its samples before them, nor within ${MOST_HELD_BYTES / 2 ** 20} MiB behind. ` +
      'Save it again as WAV.',
  );
}
