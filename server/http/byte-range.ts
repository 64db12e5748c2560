export interface ByteRange {
  readonly first: number;
  readonly last: number;
}

/**
 * The one range of bytes that a `Range` header asks for (RFC 9110, section 14). Null for the whole file: without a header,
 * and for what a server may ignore, other units and several ranges. `none` when the file has none of these bytes.
 */
export function bytesWanted(header: string | undefined, bytes: number): ByteRange | 'none' | null {
  const match = /^bytes=(\d*)-(\d*)$/.exec(header?.trim() ?? '');
  if (match === null || (match[1] === '' && match[2] === '')) return null;
  const [, from, to] = match;
  if (from === '') {
    const count = Math.min(Number(to), bytes);
    return count === 0 ? 'none' : { first: bytes - count, last: bytes - 1 };
  }
  const first = Number(from);
  const last = to === '' ? bytes - 1 : Math.min(Number(to), bytes - 1);
  // A range that ends before it begins is no range.
  if (to !== '' && Number(to) < first) return null;
  return first < bytes ? { first, last } : 'none';
}
