import { AudioError } from '../../errors.ts';
import type { AudioBlock, AudioInfo, AudioProblem, AudioReader } from '../types.ts';
import { decodeUtf8 } from '../utf8.ts';
import { SigmfDataReader } from './data.ts';
import { MOST_META_BYTES, readSigmfMeta } from './meta.ts';
import { readTarHeader, TAR_BLOCK, type TarEntry, TarReader } from './tar.ts';

const META = '.sigmf-meta';
const DATA = '.sigmf-data';
/** Samples that may wait for their metadata, where an archive has it behind them and nobody looked for it before. */
const MOST_HELD_BYTES = 16 * 2 ** 20;

type OnBlock = (block: AudioBlock) => void;

/**
 * Reads the first recording of a SigMF archive (a tar of `.sigmf-meta` and `.sigmf-data`) as it comes. Archives that have
 * the samples first need their metadata beforehand (see `metaOfArchive`), but for short ones.
 *
 * Problems: those of `SigmfDataReader`, and `further-recordings`. Errors: those of `readSigmfMeta` and `TarReader`,
 * `sigmf-no-meta`, `sigmf-no-data`, `sigmf-meta-too-large`, `sigmf-meta-after-data`.
 */
export class SigmfArchiveReader implements AudioReader {
  readonly #tar: TarReader;
  readonly #problems: AudioProblem[] = [];
  /** Text of metadata by the name of its recording. */
  readonly #metas = new Map<string, string>();
  readonly #givenMeta: string | null;
  #entry: TarEntry | null = null;
  #meta: Uint8Array[] = [];
  #metaBytes = 0;
  /** The recording that is read: the first with samples. */
  #recording: TarEntry | null = null;
  #held: Uint8Array[] = [];
  #heldBytes = 0;
  #reader: SigmfDataReader | null = null;
  #onBlock: OnBlock = () => {};

  /** @param meta text of the metadata, where it has been looked for before. */
  constructor(meta: string | null = null) {
    this.#givenMeta = meta;
    this.#tar = new TarReader({
      begin: (entry) => this.#begin(entry),
      data: (bytes) => this.#data(bytes),
      finish: () => this.#finish(),
    });
  }

  get info(): AudioInfo | null {
    return this.#reader?.info ?? null;
  }

  get frameBytes(): number | null | undefined {
    return this.#reader === null ? null : this.#reader.frameBytes;
  }

  get problems(): readonly AudioProblem[] {
    return [...(this.#reader?.problems ?? []), ...this.#problems];
  }

  push(bytes: Uint8Array, onBlock: OnBlock): void {
    this.#onBlock = onBlock;
    this.#tar.push(bytes);
  }

  end(onBlock: OnBlock): void {
    if (this.#recording === null) {
      throw new AudioError('sigmf-no-data', `The archive holds no ${DATA} file; it is no SigMF recording.`);
    }
    if (this.#reader === null) {
      const message = `The archive ends before the ${META} file that belongs to its samples. Copy it again.`;
      throw new AudioError('sigmf-no-meta', message);
    }
    this.#reader.end(onBlock);
  }

  #begin(entry: TarEntry): void {
    this.#entry = entry;
    const stem = stemOf(entry.name, DATA);
    if (stem !== null && this.#recording === null) {
      this.#recording = entry;
      this.#open(this.#givenMeta ?? this.#metas.get(stem));
    } else if (stem !== null && this.#problems.length === 0) {
      const message =
        'The archive holds further recordings; only the first was read. Hand over the others by themselves.';
      this.#problems.push({ code: 'further-recordings', message, atSeconds: null });
    }
    if (stemOf(entry.name, META) === null) return;
    this.#meta = [];
    this.#metaBytes += entry.bytes;
    if (this.#metaBytes > MOST_META_BYTES) {
      const message = `The archive holds more than ${MOST_META_BYTES / 2 ** 20} MB of metadata; it is refused.`;
      throw new AudioError('sigmf-meta-too-large', message);
    }
  }

  #data(bytes: Uint8Array): void {
    const name = this.#entry?.name ?? '';
    if (stemOf(name, META) !== null) this.#meta.push(bytes.slice());
    if (this.#entry !== this.#recording) return;
    if (this.#reader !== null) {
      this.#reader.push(bytes, this.#onBlock);
      return;
    }
    this.#heldBytes += bytes.length;
    if (this.#heldBytes > MOST_HELD_BYTES) {
      const message =
        'In this archive the samples stand before their metadata, so that they cannot be read as they come. Give it as a ' +
        'file, not through a pipe, or unpack it.';
      throw new AudioError('sigmf-meta-after-data', message);
    }
    this.#held.push(bytes.slice());
  }

  #finish(): void {
    const stem = stemOf(this.#entry?.name ?? '', META);
    if (stem === null) return;
    const text = decodeUtf8(joined(this.#meta));
    this.#metas.set(stem, text);
    if (this.#reader === null && this.#recording && stemOf(this.#recording.name, DATA) === stem) this.#open(text);
  }

  #open(text: string | undefined): void {
    if (text === undefined || this.#recording === null) return;
    this.#reader = new SigmfDataReader(readSigmfMeta(text), this.#recording.bytes);
    for (const bytes of this.#held) this.#reader.push(bytes, this.#onBlock);
    this.#held = [];
  }
}

/** Most entries that are looked at for metadata; more are refused when the archive is read. */
const MOST_LOOKED_AT = 1000;

/**
 * Looks for the metadata of the first recording of an archive, wherever it stands, by jumping from header to header. Null
 * where it finds none; what is wrong with the archive shows when it is read.
 *
 * @param readAt gives `length` bytes from `at` on, or those that there are.
 */
export function metaOfArchive(readAt: (at: number, length: number) => Uint8Array): string | null {
  const metas = new Map<string, { readonly at: number; readonly bytes: number }>();
  let wanted: string | null = null;
  for (let at = 0, looked = 0; looked < MOST_LOOKED_AT; looked++) {
    const block = readAt(at, TAR_BLOCK);
    const header = block.length < TAR_BLOCK ? null : headerOf(block);
    if (header === null) break;
    const { name, type, bytes } = header;
    const isFile = type === '0' || type === '7';
    const meta = isFile ? stemOf(name, META) : null;
    if (meta !== null) metas.set(meta, { at: at + TAR_BLOCK, bytes });
    if (isFile) wanted ??= stemOf(name, DATA);
    if (wanted !== null && metas.has(wanted)) break;
    at += TAR_BLOCK + TAR_BLOCK * Math.ceil(bytes / TAR_BLOCK);
  }
  const found = wanted === null ? undefined : metas.get(wanted);
  if (found === undefined || found.bytes > MOST_META_BYTES) return null;
  return decodeUtf8(readAt(found.at, found.bytes));
}

function headerOf(block: Uint8Array): ReturnType<typeof readTarHeader> {
  try {
    return readTarHeader(block);
  } catch {
    return null;
  }
}

function stemOf(name: string, ending: string): string | null {
  return name.endsWith(ending) ? name.slice(0, -ending.length) : null;
}

function joined(pieces: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(pieces.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const piece of pieces) {
    all.set(piece, at);
    at += piece.length;
  }
  return all;
}
