import { readFileSync } from 'node:fs';
import examples from '../../../reference/flac-examples.json';
import { fromHex } from '../wav-file.ts';

/** A file that general-purpose tools made: tests/reference/audio/lossless/make.sh. */
export function checkFile(name: string): Uint8Array {
  return new Uint8Array(readFileSync(new URL(`../../../reference/audio/lossless/${name}`, import.meta.url)));
}

/** Example 1, 2 or 3 of RFC 9639. */
export function rfcExample(number: number): Uint8Array {
  return fromHex(examples.examples[number - 1].hex);
}

/** Where the first frame of a FLAC file begins. */
export function firstFrameAt(file: Uint8Array): number {
  let at = 4;
  for (let isLast = false; !isLast; ) {
    isLast = (file[at] & 0x80) !== 0;
    at += 4 + ((file[at + 1] << 16) | (file[at + 2] << 8) | file[at + 3]);
  }
  return at;
}
