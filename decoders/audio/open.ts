import { AudioError } from '../errors.ts';
import { id3Bytes } from './id3.ts';
import { SigmfArchiveReader } from './sigmf/archive.ts';
import { SigmfDataReader } from './sigmf/data.ts';
import { readSigmfMeta } from './sigmf/meta.ts';
import { isTar, TAR_SIGNATURE_BYTES } from './sigmf/tar.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader } from './types.ts';
import { WavReader } from './wav.ts';

/** So many first bytes of a file tell what it is; a shorter file is no recording. */
export const SIGNATURE_BYTES = TAR_SIGNATURE_BYTES;

/** Readers by the first bytes of what they read. `?` in a pattern stands for any byte. */
const READERS: readonly (readonly [pattern: string, open: () => AudioReader])[] = [
  ['RIFF????WAVE', () => new WavReader()],
  ['RF64????WAVE', () => new WavReader()],
  ['BW64????WAVE', () => new WavReader()],
];

/** What messages call the files that can be read. */
const READABLE = 'WAV';

const OTHER_AUDIO: readonly (readonly [pattern: string, name: string])[] = [
  ['fLaC', 'FLAC'],
  ['OggS', 'Ogg (Vorbis, Opus or FLAC)'],
  ['????ftyp', 'MPEG-4 (M4A, 3GP or video)'],
  ['FORM????AIF', 'AIFF'],
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

/**
 * Chooses the reader for a recording by its first bytes, whatever its name. Give it at least `SIGNATURE_BYTES` bytes
 * from behind any ID3 tag, or all there are; it reads none of them: push them to the reader.
 *
 * @param sigmfMeta text of the metadata that belongs to the file, where it is the samples of a SigMF recording or an archive.
 * @throws AudioError `empty-file`; `unread-container` names an audio format that is known but not read;
 * `not-a-recording` for anything else.
 */
export function openAudio(firstBytes: Uint8Array, sigmfMeta: string | null = null): AudioReader {
  if (firstBytes.length === 0) throw new AudioError('empty-file', 'The file is empty: it holds no bytes at all.');
  if (isTar(firstBytes)) return new SigmfArchiveReader(sigmfMeta);
  if (sigmfMeta !== null) return new SigmfDataReader(readSigmfMeta(sigmfMeta), null);
  const is = ([pattern]: readonly [string, unknown]): boolean => matches(firstBytes, pattern);
  const open = READERS.find(is)?.[1];
  if (open !== undefined) return open();
  const audio = OTHER_AUDIO.find(is)?.[1] ?? mpegAudio(firstBytes);
  if (audio !== undefined) {
    throw new AudioError(
      'unread-container',
      `The file is ${audio}, which is not read yet. Convert it to WAV (16-bit PCM) and try again.`,
    );
  }
  const what = NO_AUDIO.find(is)?.[1] ?? (isText(firstBytes) ? 'text' : 'of no known kind');
  throw new AudioError('not-a-recording', `The file is ${what}, no recording. ${READABLE} files can be read.`);
}

/** MPEG audio without a tag begins with eleven set bits (ADTS: twelve and layer 0); layers III and II stand as 1 and 2. */
function mpegAudio(bytes: Uint8Array): string | undefined {
  if (bytes.length < 2 || bytes[0] !== 0xff || (bytes[1] & 0xe0) !== 0xe0) return undefined;
  if ((bytes[1] & 0xf6) === 0xf0) return 'AAC';
  const layer = (bytes[1] >> 1) & 3;
  return layer === 1 || layer === 2 ? 'MP3' : undefined;
}

/** So many first bytes tell a text. */
const TEXT_BYTES = 12;

function isText(bytes: Uint8Array): boolean {
  return bytes.subarray(0, TEXT_BYTES).every((byte) => byte >= 0x20 || (byte >= 0x09 && byte <= 0x0d));
}

function matches(bytes: Uint8Array, pattern: string): boolean {
  if (bytes.length < pattern.length) return false;
  for (let i = 0; i < pattern.length; i++) {
    if (pattern[i] !== '?' && bytes[i] !== pattern.charCodeAt(i)) return false;
  }
  return true;
}

/**
 * Reads any recording that `openAudio` knows, from pieces of any size: passes over an ID3 tag, looks at the first bytes
 * behind it, then hands everything to the reader of that container.
 */
export class RecordingReader implements AudioReader {
  readonly #first = new Uint8Array(SIGNATURE_BYTES);
  readonly #sigmfMeta: string | null;
  #length = 0;
  /** Bytes of an ID3 tag that are still to come. */
  #tagLeft = 0;
  #reader: AudioReader | null = null;

  /** @param sigmfMeta text of the metadata of a SigMF recording. */
  constructor(sigmfMeta: string | null = null) {
    this.#sigmfMeta = sigmfMeta;
  }

  get info(): AudioInfo | null {
    return this.#reader?.info ?? null;
  }

  get frameBytes(): number | null | undefined {
    return this.#reader === null ? null : this.#reader.frameBytes;
  }

  get problems(): readonly AudioProblem[] {
    return this.#reader?.problems ?? [];
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    let at = 0;
    while (this.#reader === null && at < bytes.length) at += this.#begin(bytes.subarray(at), onBlock);
    this.#reader?.push(bytes.subarray(at), onBlock);
  }

  end(onBlock: (block: AudioBlock) => void): void {
    while (this.#reader === null) if (!this.#dropTag()) this.#open(onBlock);
    this.#reader.end(onBlock);
  }

  /** Takes bytes of a tag, or first bytes until there are enough of them. Returns how many. */
  #begin(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): number {
    if (this.#tagLeft > 0) {
      const skipped = Math.min(this.#tagLeft, bytes.length);
      this.#tagLeft -= skipped;
      return skipped;
    }
    const taken = Math.min(SIGNATURE_BYTES - this.#length, bytes.length);
    this.#first.set(bytes.subarray(0, taken), this.#length);
    this.#length += taken;
    if (this.#length < SIGNATURE_BYTES) return taken;
    if (!this.#dropTag()) this.#open(onBlock);
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
    this.#reader = openAudio(first, this.#sigmfMeta);
    this.#reader.push(first, onBlock);
  }
}
