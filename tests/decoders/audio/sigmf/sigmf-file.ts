import { encodeUtf8 } from '../../../../decoders/audio/utf8.ts';

export interface Entry {
  readonly name: string;
  readonly body?: Uint8Array | string;
  readonly type?: string;
  /** Stated instead of the body's length. */
  readonly size?: number;
}

/** A tar archive (POSIX ustar) of the entries, with its end. */
export function tarOf(...entries: readonly Entry[]): Uint8Array {
  const blocks = entries.map(({ name, body = '', type = '0', size }) => {
    const bytes = typeof body === 'string' ? encodeUtf8(body) : body;
    const block = new Uint8Array(512 + 512 * Math.ceil(bytes.length / 512));
    const put = (text: string, at: number) => block.set(encodeUtf8(text), at);
    put(name, 0);
    put((size ?? bytes.length).toString(8).padStart(11, '0'), 124);
    put(type, 156);
    put('ustar\x0000', 257);
    block.fill(0x20, 148, 156);
    const sum = block.subarray(0, 512).reduce((all, byte) => all + byte, 0);
    put(`${sum.toString(8).padStart(6, '0')}\0 `, 148);
    block.set(bytes, 512);
    return block;
  });
  return joined(...blocks, new Uint8Array(1024));
}

export function joined(...pieces: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(pieces.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const piece of pieces) {
    all.set(piece, at);
    at += piece.length;
  }
  return all;
}

/** Text of metadata; keys of `global` without their name space. */
export function metaText(global: object = {}, captures: readonly object[] = [{ sample_start: 0 }]): string {
  const named = (object: object) =>
    Object.fromEntries(Object.entries(object).map(([key, value]) => [`core:${key}`, value]));
  const all = { datatype: 'ci16_le', sample_rate: 48_000, version: '1.2.5', ...global };
  return JSON.stringify({ global: named(all), captures: captures.map(named), annotations: [] });
}
