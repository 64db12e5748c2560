const REPLACEMENT = '\ufffd';

/**
 * Bytes as UTF-8 text (RFC 3629). What is no valid sequence (overlong, a surrogate, beyond U+10FFFF, cut off) becomes
 * U+FFFD, so that any bytes give some text.
 */
export function decodeUtf8(bytes: Uint8Array): string {
  let text = '';
  for (let at = 0; at < bytes.length; ) {
    const first = bytes[at];
    const length = first < 0x80 ? 1 : first < 0xc0 ? 0 : first < 0xe0 ? 2 : first < 0xf0 ? 3 : first < 0xf8 ? 4 : 0;
    let code = length < 2 ? first : first & (0x7f >> length);
    let taken = 1;
    while (taken < length && at + taken < bytes.length && (bytes[at + taken] & 0xc0) === 0x80) {
      code = (code << 6) | (bytes[at + taken] & 0x3f);
      taken++;
    }
    const isValid = taken === length && code >= LEAST[length] && code <= 0x10ffff && (code < 0xd800 || code > 0xdfff);
    text += isValid ? String.fromCodePoint(code) : REPLACEMENT;
    at += taken;
  }
  return text;
}

/** The least code point that needs so many bytes. */
const LEAST = [0, 0, 0x80, 0x800, 0x10000];

/** Text as UTF-8 bytes (RFC 3629); lone surrogates become U+FFFD. */
export function encodeUtf8(text: string): Uint8Array {
  const bytes: number[] = [];
  for (const character of text) {
    const given = character.codePointAt(0) ?? 0;
    const code = given >= 0xd800 && given <= 0xdfff ? 0xfffd : given;
    if (code < 0x80) bytes.push(code);
    else if (code < 0x800) bytes.push(0xc0 | (code >> 6), tail(code, 0));
    else if (code < 0x10000) bytes.push(0xe0 | (code >> 12), tail(code, 6), tail(code, 0));
    else bytes.push(0xf0 | (code >> 18), tail(code, 12), tail(code, 6), tail(code, 0));
  }
  return Uint8Array.from(bytes);
}

function tail(code: number, shift: number): number {
  return 0x80 | ((code >> shift) & 0x3f);
}
