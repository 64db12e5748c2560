import { pageCrc } from '../../../../decoders/audio/ogg/crc.ts';
import type { OggPage } from '../../../../decoders/audio/ogg/page-reader.ts';
import { OggPageReader } from '../../../../decoders/audio/ogg/page-reader.ts';

/** The pages of an Ogg file, copied, with the place of each in it. */
export function pagesOf(file: Uint8Array): (OggPage & { readonly at: number; readonly size: number })[] {
  const pages: (OggPage & { at: number; size: number })[] = [];
  let at = 0;
  const keep = (page: OggPage) => {
    const size = 27 + page.lacing.length + page.body.length;
    pages.push({ ...page, lacing: page.lacing.slice(), body: page.body.slice(), at, size });
    at += size;
  };
  const reader = new OggPageReader();
  reader.push(file, keep);
  reader.end(keep);
  return pages;
}

export interface PageParts {
  readonly serial?: number;
  readonly sequence?: number;
  readonly granule?: bigint;
  /** 1 continued, 2 first, 4 last. */
  readonly flags?: number;
  readonly lacing: readonly number[];
  readonly body: Uint8Array;
}

/** A page with its right CRC (RFC 3533, section 6). */
export function oggPage({ serial = 1, sequence = 0, granule = 0n, flags = 0, lacing, body }: PageParts): Uint8Array {
  const page = new Uint8Array(27 + lacing.length + body.length);
  const view = new DataView(page.buffer);
  page.set([0x4f, 0x67, 0x67, 0x53, 0, flags]);
  view.setBigInt64(6, granule, true);
  view.setUint32(14, serial, true);
  view.setUint32(18, sequence, true);
  page[26] = lacing.length;
  page.set(lacing, 27);
  page.set(body, 27 + lacing.length);
  view.setUint32(22, pageCrc(page, 0, page.length), true);
  return page;
}

/** A page that holds whole packets. */
export function packetPage(packets: readonly Uint8Array[], parts: Omit<PageParts, 'lacing' | 'body'> = {}): Uint8Array {
  const lacing = packets.flatMap(({ length }) => [...Array(Math.floor(length / 255)).fill(255), length % 255]);
  return oggPage({ ...parts, lacing, body: joined(...packets) });
}

export function joined(...parts: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

/** The same file as another logical stream. */
export function reserial(file: Uint8Array, serial: number): Uint8Array {
  return joined(...pagesOf(file).map((page) => rewritten(page, { serial, sequence: page.sequence })));
}

/** A page as another one of another stream. */
export function rewritten(
  page: ReturnType<typeof pagesOf>[number],
  { serial, sequence }: { serial: number; sequence: number },
) {
  const flags = (page.continued ? 1 : 0) | (page.first ? 2 : 0) | (page.last ? 4 : 0);
  const { lacing, body, granule } = page;
  return oggPage({ serial, sequence, flags, granule: BigInt(granule ?? -1), lacing: [...lacing], body });
}
