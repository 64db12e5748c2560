import type { AudioBlock } from './types.ts';

/** Where in a chunk's body samples stand; `to` is the end of the chunk, infinite when nobody knows it. */
export interface SampleBytes {
  readonly from: number;
  readonly to: number;
}

/** What a container does with its chunks. */
export interface ChunkHandler {
  /** Takes the first twelve bytes: name, size and form of the whole. */
  form(header: Uint8Array): void;
  /** How many first bytes of a chunk's body are wanted; the rest is skipped, whatever size it states. */
  keep(id: string): number;
  /**
   * Takes these bytes, fewer where the chunk is smaller.
   *
   * @param size of the body as stated.
   * @returns where samples stand in the body; null when there are none in it.
   */
  body(id: string, bytes: Uint8Array, size: number): SampleBytes | null;
  samples(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void;
  /** Learns that no chunk stands where one should; what follows is left out. */
  noChunk(): void;
}

/** What the next bytes are; `trailing` bytes belong to nothing. */
type State = 'form' | 'chunk' | 'body' | 'before-samples' | 'samples' | 'skip' | 'pad' | 'trailing';

/**
 * Walks through the chunks of a RIFF (little-endian) or IFF file (big-endian), from pieces of any size. Sizes are never
 * trusted with memory: no more is held than the handler wants.
 */
export class ChunkReader {
  /** Bytes read so far, up to what the handler is told of. */
  position = 0;
  readonly #isLittleEndian: boolean;
  readonly #handler: ChunkHandler;
  #state: State = 'form';
  readonly #kept: Uint8Array;
  #keptLength = 0;
  #id = '';
  #size = 0;
  /** Bytes of the body that are still to come. */
  #left = 0;
  /** Bytes of the body that stand before the samples and are still to come. */
  #before = 0;
  #isPadded = false;

  /** @param mostKept that the handler ever wants. */
  constructor(byteOrder: 'little-endian' | 'big-endian', mostKept: number, handler: ChunkHandler) {
    this.#isLittleEndian = byteOrder === 'little-endian';
    this.#kept = new Uint8Array(mostKept);
    this.#handler = handler;
  }

  /** Whether the first twelve bytes have come. */
  get isBegun(): boolean {
    return this.#state !== 'form';
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    const start = this.position;
    for (let at = 0; at < bytes.length; ) {
      at += this.#step(bytes, at, onBlock);
      this.position = start + at;
    }
  }

  /** Takes bytes from `at` on as far as the present state goes. Returns how many. */
  #step(bytes: Uint8Array, at: number, onBlock: (block: AudioBlock) => void): number {
    switch (this.#state) {
      case 'form':
        return this.#gather(bytes, at, 12, (header) => {
          this.#handler.form(header);
          this.#state = 'chunk';
        });
      case 'chunk':
        return this.#gather(bytes, at, 8, (header) => this.#beginChunk(header));
      case 'body':
        return this.#gather(bytes, at, this.#wanted, (body) => this.#useBody(body));
      case 'before-samples':
      case 'samples':
      case 'skip': {
        const left = this.#state === 'before-samples' ? this.#before : this.#left;
        const taken = Math.min(left, bytes.length - at);
        if (this.#state === 'samples') this.#handler.samples(bytes.subarray(at, at + taken), onBlock);
        this.#left -= taken;
        this.#before -= taken;
        this.#goOn();
        return taken;
      }
      case 'pad': {
        this.#state = 'chunk';
        // Some writers forget the pad byte; a chunk's name never begins with zero.
        return bytes[at] === 0 ? 1 : 0;
      }
      case 'trailing':
        return bytes.length - at;
    }
  }

  get #wanted(): number {
    return Math.min(this.#handler.keep(this.#id), this.#size);
  }

  /** Gathers `wanted` bytes, then calls `use`. Returns how many it took. */
  #gather(bytes: Uint8Array, at: number, wanted: number, use: (gathered: Uint8Array) => void): number {
    const taken = Math.min(wanted - this.#keptLength, bytes.length - at);
    this.#kept.set(bytes.subarray(at, at + taken), this.#keptLength);
    this.#keptLength += taken;
    this.position += taken;
    if (this.#keptLength === wanted) {
      this.#keptLength = 0;
      use(this.#kept.subarray(0, wanted));
    }
    return taken;
  }

  #beginChunk(header: Uint8Array): void {
    this.#id = String.fromCharCode(...header.subarray(0, 4));
    this.#size = new DataView(header.buffer, header.byteOffset).getUint32(4, this.#isLittleEndian);
    if (!/^[\x20-\x7e]{4}$/.test(this.#id)) {
      this.#state = 'trailing';
      this.#handler.noChunk();
    } else if (this.#wanted > 0) {
      this.#state = 'body';
    } else {
      this.#useBody(header.subarray(0, 0));
    }
  }

  #useBody(body: Uint8Array): void {
    const samples = this.#handler.body(this.#id, body, this.#size);
    const end = samples?.to ?? this.#size;
    this.#isPadded = end % 2 === 1;
    this.#left = end - body.length;
    this.#before = samples === null ? 0 : Math.min(samples.from - body.length, this.#left);
    this.#state = samples === null ? 'skip' : 'before-samples';
    this.#goOn();
  }

  /** Leaves what is used up. */
  #goOn(): void {
    if (this.#left <= 0) this.#state = this.#isPadded ? 'pad' : 'chunk';
    else if (this.#state === 'before-samples' && this.#before <= 0) this.#state = 'samples';
  }
}
