/** `fLaC` and the header of STREAMINFO, the last of the blocks or not (RFC 9639 sections 6 and 8.1); no frame begins in it. */
const MARKER = [0x66, 0x4c, 0x61, 0x43, 0x00, 0x00, 0x00, 0x22];
const LAST_BLOCK_AT = 4;
const LAST_BLOCK = 0x80;

/** Looks for the beginning of a FLAC file in bytes that come in pieces. */
export class MarkerScan {
  #matched = 0;
  isFound = false;

  push(bytes: Uint8Array): void {
    for (let i = 0; i < bytes.length && !this.isFound; i++) {
      const byte = this.#matched === LAST_BLOCK_AT ? bytes[i] & ~LAST_BLOCK : bytes[i];
      // It begins with a byte that does not come again in it.
      this.#matched = byte === MARKER[this.#matched] ? this.#matched + 1 : Number(bytes[i] === MARKER[0]);
      this.isFound = this.#matched === MARKER.length;
    }
  }

  reset(): void {
    this.#matched = 0;
    this.isFound = false;
  }
}
