import { AudioError } from '../../decoders/errors.ts';
import { type ReadAt, stretch } from './file-stretch.ts';

interface Box {
  readonly type: string;
  readonly at: number;
  readonly size: number;
  /** Bytes of its header. */
  readonly head: number;
}

/** Boxes on the way to the tables of places. */
const WAY = new Set(['moov', 'trak', 'mdia', 'minf', 'stbl']);
/** An index this large is none of a recording of a day. */
const MOST_INDEX_BYTES = 64 * 2 ** 20;
const MOST_BOXES = 10_000;

/**
 * The bytes of an MPEG-4 file (ISO/IEC 14496-12) so that it can be read from a pipe: phones write the index (`moov`) last,
 * behind the sound (`mdat`); it is put in front, and the places in it are moved by its length. Files whose index stands in
 * front come as they are.
 *
 * @throws AudioError `index-too-large`.
 */
export function* indexFirst(read: ReadAt, size: number): Generator<Uint8Array> {
  const boxes = boxesIn(read, 0, size);
  const index = boxes.find(({ type }) => type === 'moov');
  const sound = boxes.find(({ type }) => type === 'mdat');
  if (index === undefined || sound === undefined || index.at < sound.at) {
    yield* stretch(read, 0, size);
    return;
  }
  if (index.size > MOST_INDEX_BYTES) {
    throw new AudioError(
      'index-too-large',
      'The index of the file is larger than that of any recording: it is damaged.',
    );
  }
  const moved = read(index.at, index.size).slice();
  movePlaces(moved, { ...index, at: 0 }, sound.at, index.at, index.size);
  yield* stretch(read, 0, sound.at);
  yield moved;
  yield* stretch(read, sound.at, index.at);
  yield* stretch(read, index.at + index.size, size);
}

/** The boxes that stand one behind the other between two places. */
function boxesIn(read: ReadAt, from: number, to: number): Box[] {
  const boxes: Box[] = [];
  for (let at = from; at + 8 <= to && boxes.length < MOST_BOXES; ) {
    const header = read(at, 16);
    if (header.length < 8) break;
    const view = new DataView(header.buffer, header.byteOffset, header.length);
    const type = String.fromCharCode(...header.subarray(4, 8));
    const short = view.getUint32(0);
    const isLong = short === 1 && header.length >= 16;
    const size = isLong ? view.getUint32(8) * 2 ** 32 + view.getUint32(12) : short === 0 ? to - at : short;
    const head = isLong ? 16 : 8;
    if (size < head || at + size > to) break;
    boxes.push({ type, at, size, head });
    at += size;
  }
  return boxes;
}

/** Adds `by` to the places from `from` to before `to` in the tables inside a box. */
function movePlaces(bytes: Uint8Array, box: Box, from: number, to: number, by: number): void {
  const end = box.at + box.size;
  if (WAY.has(box.type)) {
    const read: ReadAt = (at, length) => bytes.subarray(at, at + length);
    for (const inner of boxesIn(read, box.at + box.head, end)) movePlaces(bytes, inner, from, to, by);
    return;
  }
  if (box.type !== 'stco' && box.type !== 'co64') return;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const first = box.at + box.head + 8;
  const width = box.type === 'stco' ? 4 : 8;
  if (first > end) return;
  const count = Math.min(view.getUint32(first - 4), Math.floor((end - first) / width));
  for (let i = 0; i < count; i++) {
    const at = first + i * width;
    const place = width === 4 ? view.getUint32(at) : Number(view.getBigUint64(at));
    if (place < from || place >= to) continue;
    if (width === 4) view.setUint32(at, place + by);
    else view.setBigUint64(at, BigInt(place + by));
  }
}
