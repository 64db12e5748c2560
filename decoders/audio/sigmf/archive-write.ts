import { encodeUtf8 } from '../utf8.ts';
import { TAR_BLOCK } from './tar.ts';

/** What stands around the two files of a recording in their archive. */
export interface SigmfArchiveFrame {
  readonly beforeMeta: Uint8Array;
  /** Between the metadata and the samples. */
  readonly beforeData: Uint8Array;
  readonly afterData: Uint8Array;
}

/** Always the same, so that the same pair is the same archive whatever its files are called. */
const NAME = 'recording/recording';

/**
 * A SigMF archive of a pair of files (SigMF 1.2.5, a tar of POSIX.1-1988), its metadata first, so that it can be read as it
 * comes: `beforeMeta`, the metadata, `beforeData`, the samples, `afterData`.
 */
export function sigmfArchiveFrame(metaBytes: number, dataBytes: number): SigmfArchiveFrame {
  const filling = (bytes: number): number => (TAR_BLOCK - (bytes % TAR_BLOCK)) % TAR_BLOCK;
  const beforeData = new Uint8Array(filling(metaBytes) + TAR_BLOCK);
  beforeData.set(header(`${NAME}.sigmf-data`, dataBytes), filling(metaBytes));
  return {
    beforeMeta: header(`${NAME}.sigmf-meta`, metaBytes),
    beforeData,
    afterData: new Uint8Array(filling(dataBytes) + 2 * TAR_BLOCK),
  };
}

const MOST_OCTAL_BYTES = 8 ** 11;

function header(name: string, bytes: number): Uint8Array {
  const block = new Uint8Array(TAR_BLOCK);
  const put = (text: string, at: number): void => block.set(encodeUtf8(text), at);
  put(name, 0);
  put('0000644\0', 100);
  put('0000000\0', 108);
  put('0000000\0', 116);
  if (bytes < MOST_OCTAL_BYTES) put(`${bytes.toString(8).padStart(11, '0')}\0`, 124);
  else putLarge(block, bytes);
  put('00000000000\0', 136);
  put('        0', 148);
  put('ustar\x0000', 257);
  const sum = block.reduce((all, byte) => all + byte, 0);
  put(`${sum.toString(8).padStart(6, '0')}\0 `, 148);
  return block;
}

/** A size that octal digits do not hold, in base 256 after a set bit (GNU). */
function putLarge(block: Uint8Array, bytes: number): void {
  for (let at = 135, left = bytes; at > 124; at--) {
    block[at] = left % 256;
    left = Math.floor(left / 256);
  }
  block[124] = 0x80;
}
