import { AudioError } from '../../errors.ts';
import { decodeUtf8 } from '../utf8.ts';

/** A file inside an archive. */
export interface TarEntry {
  /** Path inside the archive: relative, never leading out of it. */
  readonly name: string;
  readonly bytes: number;
}

/** Told of the files of an archive, one after another. */
export interface TarTaker {
  begin(entry: TarEntry): void;
  /** The next bytes of the file that began last; they hold during the call. */
  data(bytes: Uint8Array): void;
  /** All bytes of the file have come. */
  finish(): void;
}

export const TAR_BLOCK = 512;

const MOST_ENTRIES = 1000;
/** Room for the extended header of one entry: a path is at most a few hundred characters. */
const MOST_EXTENSION_BYTES = 64 * 1024;
const LONGEST_NAME = 1000;

/** One header block of a tar archive. */
export interface TarHeader {
  readonly name: string;
  /** Type flag: `0` file, `5` folder, `x` extended header of the next entry, and so on. */
  readonly type: string;
  readonly bytes: number;
}

/** Whether an archive begins here: `ustar` stands in POSIX headers and in GNU ones (POSIX.1-1988, IEEE 1003.1). */
export function isTar(firstBytes: Uint8Array): boolean {
  return TAR_SIGNATURE_BYTES <= firstBytes.length && text(firstBytes, 257, 262) === 'ustar';
}

export const TAR_SIGNATURE_BYTES = 262;

/**
 * Reads a header block. Null for a block of zeros, which ends an archive.
 *
 * @throws AudioError `tar-damaged`.
 */
export function readTarHeader(block: Uint8Array): TarHeader | null {
  if (block.every((byte) => byte === 0)) return null;
  let sum = 0;
  for (let i = 0; i < TAR_BLOCK; i++) sum += i >= 148 && i < 156 ? 0x20 : block[i];
  const bytes = numberAt(block, 124, 136);
  if (sum !== numberAt(block, 148, 156) || bytes === null) {
    throw new AudioError('tar-damaged', 'The archive is damaged: a file header in it does not add up. Copy it again.');
  }
  const prefix = text(block, 257, 263) === 'ustar' ? text(block, 345, 500) : '';
  const name = text(block, 0, 100);
  return { name: prefix === '' ? name : `${prefix}/${name}`, type: String.fromCharCode(block[156] || 0x30), bytes };
}

/**
 * Reads a tar archive as it comes, in pieces of any size: POSIX ustar and pax, and GNU long names. Nothing is unpacked
 * and nothing held but one header. Refuses what an archive of recordings has no use for.
 *
 * Errors: `tar-damaged`, `tar-unsafe-path` (absolute, or leading out of the archive), `tar-unsafe-entry` (links, devices,
 * sparse files), `tar-too-many-entries`.
 */
export class TarReader {
  readonly #taker: TarTaker;
  readonly #block = new Uint8Array(TAR_BLOCK);
  #filled = 0;
  #state: 'header' | 'file' | 'extension' | 'skip' | 'over' = 'header';
  /** Bytes of the entry's body still to come, and of the filling behind it. */
  #left = 0;
  #filling = 0;
  #entries = 0;
  #extension = new Uint8Array(0);
  #extensionType = '';
  /** What extended headers say of the next entry. */
  #nextName: string | null = null;
  #nextBytes: number | null = null;

  constructor(taker: TarTaker) {
    this.#taker = taker;
  }

  /** Whether the archive has come to its end, or stands between two entries. */
  get isWhole(): boolean {
    return this.#state === 'over' || (this.#state === 'header' && this.#filled === 0);
  }

  push(bytes: Uint8Array): void {
    for (let at = 0; at < bytes.length && this.#state !== 'over'; ) {
      at += this.#state === 'header' ? this.#takeHeader(bytes, at) : this.#takeBody(bytes, at);
    }
  }

  #takeHeader(bytes: Uint8Array, at: number): number {
    const taken = Math.min(TAR_BLOCK - this.#filled, bytes.length - at);
    this.#block.set(bytes.subarray(at, at + taken), this.#filled);
    this.#filled += taken;
    if (this.#filled === TAR_BLOCK) {
      this.#filled = 0;
      const header = readTarHeader(this.#block);
      if (header === null) this.#state = 'over';
      else this.#begin(header);
    }
    return taken;
  }

  #begin({ name, type, bytes }: TarHeader): void {
    if (++this.#entries > MOST_ENTRIES) {
      throw new AudioError(
        'tar-too-many-entries',
        `The archive holds more than ${MOST_ENTRIES} entries; it is refused.`,
      );
    }
    if (type === 'x' || type === 'L') {
      this.#expect(bytes);
      if (bytes > MOST_EXTENSION_BYTES) throw unsafe('a file header of an absurd length');
      this.#extension = new Uint8Array(bytes);
      this.#extensionType = type;
      this.#state = 'extension';
    } else if (type === 'g') {
      this.#expect(bytes);
      this.#state = 'skip';
    } else {
      const entry = { name: safeName(this.#nextName ?? name), bytes: this.#nextBytes ?? bytes };
      this.#nextName = null;
      this.#nextBytes = null;
      if (type !== '0' && type !== '7' && type !== '5') throw unsafe(KINDS[type] ?? `an entry of type ${type}`);
      this.#expect(entry.bytes);
      this.#state = type === '5' ? 'skip' : 'file';
      if (type !== '5') this.#taker.begin(entry);
    }
    this.#endBody();
  }

  #expect(bytes: number): void {
    this.#left = bytes;
    this.#filling = (TAR_BLOCK - (bytes % TAR_BLOCK)) % TAR_BLOCK;
  }

  #takeBody(bytes: Uint8Array, at: number): number {
    if (this.#left === 0) {
      const taken = Math.min(this.#filling, bytes.length - at);
      this.#filling -= taken;
      if (this.#filling === 0) this.#state = 'header';
      return taken;
    }
    const taken = Math.min(this.#left, bytes.length - at);
    const piece = bytes.subarray(at, at + taken);
    if (this.#state === 'file') this.#taker.data(piece);
    else if (this.#state === 'extension') this.#extension.set(piece, this.#extension.length - this.#left);
    this.#left -= taken;
    this.#endBody();
    return taken;
  }

  /** Goes on when the body has come as a whole: what follows is its filling, or the next header. */
  #endBody(): void {
    if (this.#left > 0) return;
    if (this.#state === 'file') this.#taker.finish();
    if (this.#state === 'extension') this.#learn();
    this.#state = this.#filling > 0 ? 'skip' : 'header';
  }

  #learn(): void {
    if (this.#extensionType === 'L') this.#nextName = text(this.#extension, 0, this.#extension.length);
    else {
      const { path, size } = paxRecords(this.#extension);
      if (path !== undefined) this.#nextName = path;
      if (size !== undefined) this.#nextBytes = wholeNumber(size, 10);
    }
  }
}

const KINDS: Readonly<Record<string, string>> = {
  '1': 'a hard link',
  '2': 'a symbolic link',
  '3': 'a device',
  '4': 'a device',
  '6': 'a pipe',
  K: 'a link',
  S: 'a sparse file',
};

function unsafe(what: string): AudioError {
  return new AudioError('tar-unsafe-entry', `The archive holds ${what}; only plain files and folders are read.`);
}

function safeName(name: string): string {
  const isSafe =
    name.length > 0 &&
    name.length <= LONGEST_NAME &&
    !/^[A-Za-z]:|^\/|\\/.test(name) &&
    !hasControls(name) &&
    !name.split('/').includes('..');
  if (isSafe) return name;
  const shown = JSON.stringify(name.slice(0, 80));
  throw new AudioError('tar-unsafe-path', `The archive holds ${shown}, a path that leads out of it; it is refused.`);
}

function hasControls(name: string): boolean {
  for (let i = 0; i < name.length; i++) if (name.charCodeAt(i) < 0x20) return true;
  return false;
}

/** Records `LENGTH KEY=VALUE\n` of a pax extended header; damaged ones end the list. */
function paxRecords(body: Uint8Array): Readonly<Record<string, string>> {
  const records: Record<string, string> = {};
  for (let at = 0; at < body.length; ) {
    const space = body.indexOf(0x20, at);
    const length = space < 0 ? null : wholeNumber(ascii(body, at, space), 10);
    if (length === null || length <= space - at + 1 || at + length > body.length) break;
    const record = decodeUtf8(body.subarray(space + 1, at + length - 1));
    const equals = record.indexOf('=');
    if (equals > 0) records[record.slice(0, equals)] = record.slice(equals + 1);
    at += length;
  }
  return records;
}

/** An octal number, or, for those that do not fit, one in base 256 after a set bit (GNU). */
function numberAt(block: Uint8Array, from: number, to: number): number | null {
  if ((block[from] & 0x80) === 0) return wholeNumber(ascii(block, from, to).trim() || '0', 8);
  let value = block[from] & 0x7f;
  for (let i = from + 1; i < to; i++) value = value * 256 + block[i];
  return Number.isSafeInteger(value) ? value : null;
}

function wholeNumber(digits: string, base: 8 | 10): number | null {
  if (!(base === 8 ? /^[0-7]+$/ : /^[0-9]+$/).test(digits)) return null;
  const value = Number.parseInt(digits, base);
  return Number.isSafeInteger(value) ? value : null;
}

function text(bytes: Uint8Array, from: number, to: number): string {
  const zero = bytes.subarray(from, to).indexOf(0);
  return decodeUtf8(bytes.subarray(from, zero < 0 ? to : from + zero));
}

function ascii(bytes: Uint8Array, from: number, to: number): string {
  let out = '';
  for (let i = from; i < to && bytes[i] !== 0; i++) out += String.fromCharCode(bytes[i]);
  return out;
}
