import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { phoneContainer } from '../../decoders/audio/phone-container.ts';
import { soundLast } from './caf-order.ts';
import type { FfmpegOptions } from './ffmpeg.ts';
import { soundByFfmpeg } from './ffmpeg.ts';
import type { ReadAt } from './file-stretch.ts';
import { indexFirst } from './mov-order.ts';

/** A recording as it is handed over. */
export interface RecordingBytes {
  /** Its first bytes, 12 at least where it has so many. */
  readonly first: Uint8Array;
  /** All its bytes, the first included. A piece holds until the next one is asked for. */
  readonly pieces: AsyncIterable<Uint8Array>;
  /** Null when it can be read only once. */
  readonly path: string | null;
}

type Order = (read: ReadAt, size: number) => Generator<Uint8Array>;

/** Containers that are put in another order before they go through a pipe, by demuxer. */
const PIPED: Readonly<Record<string, Order>> = { mov: indexFirst, caf: soundLast };

/**
 * What a recording decoder is fed: the bytes as they are, or, of what phones write and no reader here reads, the sound in
 * it as WAV (see `soundByFfmpeg`, with its errors). All of `pieces` is read in either case.
 */
export async function* decodableBytes(
  { first, pieces, path }: RecordingBytes,
  options: FfmpegOptions = {},
): AsyncGenerator<Uint8Array> {
  const container = phoneContainer(first);
  if (container === null) {
    yield* pieces;
    return;
  }
  const inOrder = PIPED[container.demuxer];
  if (inOrder === undefined || path === null) {
    yield* soundByFfmpeg(container, pieces, options);
  } else {
    for await (const _ of pieces);
    yield* soundByFfmpeg(container, wholeFile(path, inOrder), options);
  }
}

function* wholeFile(path: string, inOrder: Order): Generator<Uint8Array> {
  const file = openSync(path, 'r');
  try {
    const readAt = (at: number, length: number): Uint8Array => {
      const bytes = new Uint8Array(length);
      return bytes.subarray(0, readSync(file, bytes, 0, length, at));
    };
    yield* inOrder(readAt, fstatSync(file).size);
  } finally {
    closeSync(file);
  }
}
