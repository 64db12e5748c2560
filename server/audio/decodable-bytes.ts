import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { phoneContainer } from '../../decoders/audio/phone-container.ts';
import type { FfmpegOptions } from './ffmpeg.ts';
import { soundByFfmpeg } from './ffmpeg.ts';
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
  } else if (container.demuxer !== 'mov' || path === null) {
    yield* soundByFfmpeg(container, pieces, options);
  } else {
    for await (const _ of pieces);
    yield* soundByFfmpeg(container, movFile(path), options);
  }
}

function* movFile(path: string): Generator<Uint8Array> {
  const file = openSync(path, 'r');
  try {
    const readAt = (at: number, length: number): Uint8Array => {
      const bytes = new Uint8Array(length);
      return bytes.subarray(0, readSync(file, bytes, 0, length, at));
    };
    yield* indexFirst(readAt, fstatSync(file).size);
  } finally {
    closeSync(file);
  }
}
