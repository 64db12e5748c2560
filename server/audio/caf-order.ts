import { type ReadAt, stretch } from './file-stretch.ts';

interface Chunk {
  readonly type: string;
  readonly at: number;
  readonly size: number;
}

const FILE_HEADER_BYTES = 8;
const HEADER_BYTES = 12;
const MOST_CHUNKS = 1000;
/** What decoding the sound needs, in front of it: format, the codec's own, lengths of packets. */
const BEFORE_SOUND = ['desc', 'kuki', 'pakt'];

/** The header of a chunk of sound that goes on to the end: of one with a size, ffmpeg 4.1 reads nothing from a pipe (seen). */
const OPEN_SOUND = Uint8Array.of(0x64, 0x61, 0x74, 0x61, ...new Array<number>(8).fill(0xff));

/**
 * The bytes of a Core Audio file (Apple Core Audio Format Specification 1.0) so that it can be read from a pipe: the table of
 * packets, which recorders write last, is put in front of the sound, and what tells nothing of the sound is left out. A file
 * without sound or format comes as it is.
 */
export function* soundLast(read: ReadAt, size: number): Generator<Uint8Array> {
  const chunks = chunksIn(read, size);
  const sound = chunks.find(({ type }) => type === 'data');
  const before = BEFORE_SOUND.flatMap((wanted) => chunks.find(({ type }) => type === wanted) ?? []);
  if (sound === undefined || before[0]?.type !== 'desc') {
    yield* stretch(read, 0, size);
    return;
  }
  yield* stretch(read, 0, FILE_HEADER_BYTES);
  for (const chunk of before) yield* stretch(read, chunk.at, chunk.at + chunk.size);
  yield OPEN_SOUND;
  yield* stretch(read, sound.at + HEADER_BYTES, sound.at + sound.size);
}

/** Chunks with their headers. One whose size nobody knows goes on to the end. */
function chunksIn(read: ReadAt, size: number): Chunk[] {
  const chunks: Chunk[] = [];
  for (let at = FILE_HEADER_BYTES; at + HEADER_BYTES <= size && chunks.length < MOST_CHUNKS; ) {
    const header = read(at, HEADER_BYTES);
    if (header.length < HEADER_BYTES) break;
    const stated = Number(new DataView(header.buffer, header.byteOffset).getBigInt64(4));
    const length = stated < 0 ? size - at : Math.min(HEADER_BYTES + stated, size - at);
    chunks.push({ type: String.fromCharCode(...header.subarray(0, 4)), at, size: length });
    at += length;
  }
  return chunks;
}
