import type { OggPage } from './page-reader.ts';

/** No packet that matters is larger: only pictures in comments are, and their rest is left out. */
const LARGEST_PACKET = 2 ** 18;

export interface PagePackets {
  /** Packets that end on the page. Views that hold until the next page. */
  readonly packets: readonly Uint8Array[];
  /** Whether pages before this one are missing. */
  readonly gap: boolean;
}

/** Puts the packets of one logical stream together from its pages (RFC 3533, section 5), and notices missing pages. */
export class OggPackets {
  #next: number | null = null;
  /** Begun on an earlier page. */
  readonly #begun = new Uint8Array(LARGEST_PACKET);
  #begunLength = 0;
  #isOpen = false;

  take(page: OggPage): PagePackets {
    const gap = this.#next !== null && page.sequence !== this.#next;
    this.#next = (page.sequence + 1) >>> 0;
    const packets: Uint8Array[] = [];
    // The rest of a packet whose beginning is missing is of no use.
    let isUsable = !page.continued || (this.#isOpen && !gap);
    if (!page.continued || gap) this.#drop();
    let from = 0;
    let at = 0;
    for (const length of page.lacing) {
      at += length;
      if (length === 255) continue;
      if (isUsable) packets.push(this.#finish(page.body.subarray(from, at)));
      isUsable = true;
      from = at;
    }
    const endsOpen = page.lacing.length > 0 && page.lacing[page.lacing.length - 1] === 255;
    if (endsOpen && isUsable) this.#begin(page.body.subarray(from, at));
    else if (endsOpen) this.#drop();
    return { packets, gap };
  }

  #finish(rest: Uint8Array): Uint8Array {
    if (!this.#isOpen) return rest;
    this.#begin(rest);
    const packet = this.#begun.slice(0, this.#begunLength);
    this.#drop();
    return packet;
  }

  #begin(part: Uint8Array): void {
    const kept = part.subarray(0, LARGEST_PACKET - this.#begunLength);
    this.#begun.set(kept, this.#begunLength);
    this.#begunLength += kept.length;
    this.#isOpen = true;
  }

  #drop(): void {
    this.#begunLength = 0;
    this.#isOpen = false;
  }
}
