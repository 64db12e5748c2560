/** Whether the bytes begin as `pattern` says, one byte a character; `?` stands for any byte. */
export function beginsWith(bytes: Uint8Array, pattern: string): boolean {
  if (bytes.length < pattern.length) return false;
  for (let i = 0; i < pattern.length; i++) {
    if (pattern[i] !== '?' && bytes[i] !== pattern.charCodeAt(i)) return false;
  }
  return true;
}

/** MPEG audio of layers II and III without a tag: eleven set bits, and the layer as 2 or 1. (I, 3, looks like UTF-16.) */
export function isMpegAudio(bytes: Uint8Array): boolean {
  return beginsWithSync(bytes) && [2, 4].includes(bytes[1] & 0x06);
}

/** AAC in ADTS begins with twelve set bits and layer 0. */
export function isAdts(bytes: Uint8Array): boolean {
  return beginsWithSync(bytes) && (bytes[1] & 0x16) === 0x10;
}

function beginsWithSync(bytes: Uint8Array): boolean {
  return bytes.length >= 2 && bytes[0] === 0xff && (bytes[1] & 0xe0) === 0xe0;
}

export function sameBytes(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && a.every((byte, i) => byte === b[i]);
}
