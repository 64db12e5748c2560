/** Whether the bytes begin as `pattern` says, one byte a character; `?` stands for any byte. */
export function beginsWith(bytes: Uint8Array, pattern: string): boolean {
  if (bytes.length < pattern.length) return false;
  for (let i = 0; i < pattern.length; i++) {
    if (pattern[i] !== '?' && bytes[i] !== pattern.charCodeAt(i)) return false;
  }
  return true;
}

/** MPEG audio without a tag begins with eleven set bits; layers III, II and I stand as 1 to 3. */
export function isMpegAudio(bytes: Uint8Array): boolean {
  return beginsWithSync(bytes) && (bytes[1] & 0x06) !== 0;
}

/** AAC in ADTS begins with twelve set bits and layer 0. */
export function isAdts(bytes: Uint8Array): boolean {
  return beginsWithSync(bytes) && (bytes[1] & 0x16) === 0x10;
}

function beginsWithSync(bytes: Uint8Array): boolean {
  return bytes.length >= 2 && bytes[0] === 0xff && (bytes[1] & 0xe0) === 0xe0;
}
