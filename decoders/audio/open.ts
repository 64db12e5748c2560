import { AudioError } from '../errors.ts';
import { AiffReader } from './aiff.ts';
import type { AudioCodecs } from './codecs.ts';
import { FlacReader } from './flac.ts';
import { id3Bytes } from './id3.ts';
import { LONGEST_SECONDS } from './length-limit.ts';
import { MpegReader } from './mpeg/mpeg.ts';
import { OggReader } from './ogg/ogg.ts';
import { SigmfArchiveReader } from './sigmf/archive.ts';
import { SigmfDataReader } from './sigmf/data.ts';
import { readSigmfMeta } from './sigmf/meta.ts';
import { isTar, TAR_SIGNATURE_BYTES } from './sigmf/tar.ts';
import { beginsWith, isAdts, isMpegAudio } from './signatures.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader } from './types.ts';
import { WavReader } from './wav.ts';

/** So many first bytes of a file tell what it is; a shorter file is no recording. */
export const SIGNATURE_BYTES = TAR_SIGNATURE_BYTES;

/** Readers by the first bytes of what they read. `?` in a pattern stands for any byte. */
const READERS: readonly (readonly [pattern: string, open: (codecs: AudioCodecs) => AudioReader])[] = [
  ['RIFF????WAVE', () => new WavReader()],
  ['RF64????WAVE', () => new WavReader()],
  ['BW64????WAVE', () => new WavReader()],
  ['FORM????AIFF', () => new AiffReader()],
  ['FORM????AIFC', () => new AiffReader()],
  ['fLaC', () => new FlacReader()],
  ['OggS', (codecs) => new OggReader(codecs)],
];

/** So many bytes has the longest of these patterns. */
const PATTERN_BYTES = 12;

/** What messages call the files that can be read. */
const READABLE = 'WAV, AIFF, FLAC, Ogg and MP3';

const OTHER_AUDIO: readonly (readonly [pattern: string, name: string])[] = [
  ['????ftyp', 'MPEG-4 (M4A, 3GP or video)'],
  ['RIFF????AVI ', 'AVI video'],
  ['RIFX', 'big-endian WAV'],
  ['riff', 'Wave64'],
  ['caff', 'Core Audio'],
  ['#!AMR', 'AMR'],
  ['.snd', 'AU'],
  ['wvpk', 'WavPack'],
  ['\x1aE\xdf\xa3', 'Matroska or WebM'],
  ['0&\xb2u', 'Windows Media'],
];

const NO_AUDIO: readonly (readonly [pattern: string, name: string])[] = [
  ['%PDF', 'a PDF document'],
  ['PK\x03\x04', 'a ZIP archive (or a document inside one)'],
  ['\x1f\x8b', 'a gzip archive'],
  ['\x89PNG', 'a PNG picture'],
  ['\xff\xd8\xff', 'a JPEG picture'],
  ['GIF8', 'a GIF picture'],
];

/** What a recording comes with. */
export interface OpenOptions {
  /** Text of the metadata that belongs to it, where it is the samples of a SigMF recording or an archive. */
  readonly sigmfMeta?: string | null;
  /** What `prepareAudio` gave for it. */
  readonly codecs?: AudioCodecs;
}

/**
 * Chooses the reader for a recording by its first bytes, whatever its name. Give it at least `SIGNATURE_BYTES` bytes
 * from behind any ID3 tag, or all there are; it reads none of them: push them to the reader.
 *
 * @throws AudioError `empty-file`; `unread-container` names an audio format that is known but not read;
 * `not-a-recording` for anything else.
 */
export function openAudio(firstBytes: Uint8Array, { sigmfMeta = null, codecs = {} }: OpenOptions = {}): AudioReader {
  if (firstBytes.length === 0) throw new AudioError('empty-file', 'The file is empty: it holds no bytes at all.');
  if (isTar(firstBytes)) return new SigmfArchiveReader(sigmfMeta);
  if (sigmfMeta !== null) return new SigmfDataReader(readSigmfMeta(sigmfMeta), null);
  const is = ([pattern]: readonly [string, unknown]): boolean => beginsWith(firstBytes, pattern);
  const open = readerOf(firstBytes);
  if (open !== undefined) return open(codecs);
  const audio = OTHER_AUDIO.find(is)?.[1] ?? (isAdts(firstBytes) ? 'AAC' : undefined);
  if (audio !== undefined) {
    throw new AudioError(
      'unread-container',
      `The file is ${audio}, which is not read yet. Convert it to WAV (16-bit PCM) and try again.`,
    );
  }
  const what = NO_AUDIO.find(is)?.[1] ?? (isText(firstBytes) ? 'text' : 'of no known kind');
  throw new AudioError('not-a-recording', `The file is ${what}, no recording. ${READABLE} files can be read.`);
}

function readerOf(firstBytes: Uint8Array): ((codecs: AudioCodecs) => AudioReader) | undefined {
  if (isMpegAudio(firstBytes)) return (codecs) => new MpegReader(codecs);
  return READERS.find(([pattern]) => beginsWith(firstBytes, pattern))?.[1];
}

/** So many first bytes tell a text. */
const TEXT_BYTES = 12;

function isText(bytes: Uint8Array): boolean {
  return bytes.subarray(0, TEXT_BYTES).every((byte) => byte >= 0x20 || (byte >= 0x09 && byte <= 0x0d));
}

/**
 * Reads any recording that `openAudio` knows, from pieces of any size: passes over an ID3 tag, looks at the first bytes
 * behind it, then hands everything to the reader of that container. What follows after `LONGEST_SECONDS` of sound is left
 * out (problem `too-long`).
 */
export class RecordingReader implements AudioReader {
  readonly #first = new Uint8Array(SIGNATURE_BYTES);
  #length = 0;
  /** Bytes of an ID3 tag that are still to come. */
  #tagLeft = 0;
  #reader: AudioReader | null = null;
  readonly #options: OpenOptions;
  #frames = 0;
  #isFull = false;

  constructor(options: OpenOptions = {}) {
    this.#options = options;
  }

  get info(): AudioInfo | null {
    return this.#reader?.info ?? null;
  }

  get frameBytes(): number | null | undefined {
    return this.#reader === null ? null : this.#reader.frameBytes;
  }

  get problems(): readonly AudioProblem[] {
    const problems = this.#reader?.problems ?? [];
    if (!this.#isFull) return problems;
    const hours = LONGEST_SECONDS / 3600;
    const message = `The recording is longer than ${hours} h; what follows was left out. Cut it into shorter ones.`;
    return [...problems, { code: 'too-long', message, atSeconds: LONGEST_SECONDS }];
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    let at = 0;
    while (this.#reader === null && at < bytes.length) at += this.#begin(bytes.subarray(at), onBlock);
    if (!this.#isFull) this.#reader?.push(bytes.subarray(at), (block) => this.#pass(block, onBlock));
  }

  end(onBlock: (block: AudioBlock) => void): void {
    while (this.#reader === null) if (!this.#dropTag()) this.#open(onBlock);
    if (!this.#isFull) this.#reader.end((block) => this.#pass(block, onBlock));
  }

  /** Takes bytes of a tag, or first bytes until there are enough of them. Returns how many. */
  #begin(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): number {
    if (this.#tagLeft > 0) {
      const skipped = Math.min(this.#tagLeft, bytes.length);
      this.#tagLeft -= skipped;
      return skipped;
    }
    const wanted = this.#length < PATTERN_BYTES ? PATTERN_BYTES : SIGNATURE_BYTES;
    const taken = Math.min(wanted - this.#length, bytes.length);
    this.#first.set(bytes.subarray(0, taken), this.#length);
    this.#length += taken;
    if (this.#length < wanted || this.#dropTag()) return taken;
    // A reader that can be told early gets every byte as it comes: only so is it known where the samples begin.
    const isTold = wanted === SIGNATURE_BYTES || (!this.#options.sigmfMeta && readerOf(this.#first) !== undefined);
    if (isTold) this.#open(onBlock);
    return taken;
  }

  /** Drops a tag that the first bytes begin with. Returns whether they did. */
  #dropTag(): boolean {
    const tag = id3Bytes(this.#first.subarray(0, this.#length));
    const held = Math.min(tag, this.#length);
    this.#first.copyWithin(0, held);
    this.#length -= held;
    this.#tagLeft = tag - held;
    return tag > 0;
  }

  #open(onBlock: (block: AudioBlock) => void): void {
    const first = this.#first.subarray(0, this.#length);
    this.#reader = openAudio(first, this.#options);
    this.#reader.push(first, (block) => this.#pass(block, onBlock));
  }

  #pass(block: AudioBlock, onBlock: (block: AudioBlock) => void): void {
    if (this.#isFull) return;
    this.#frames += block.frames;
    this.#isFull = this.#frames >= LONGEST_SECONDS * (this.info?.sampleRateHz ?? Number.POSITIVE_INFINITY);
    onBlock(block);
  }
}
