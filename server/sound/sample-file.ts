import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { RecordingReader } from '../../decoders/audio/open.ts';
import type { AudioBlock, AudioInfo, AudioReader } from '../../decoders/audio/types.ts';
import { AudioError } from '../../decoders/errors.ts';
import { recordingFiles } from '../sigmf-files.ts';

const PIECE_BYTES = 256 * 1024;
/** A header longer than this is none that a recorder writes. */
const MOST_HEADER_BYTES = 4 * 2 ** 20;

/** A recording whose samples lie bare, one after another, so that any stretch can be read without the rest. */
export interface SampleFile {
  readonly info: AudioInfo;
  /** Frames that are there, whatever the header states. */
  readonly frames: number;
  /** Hands out the frames from..to, in blocks that are used again. */
  read(from: number, to: number, onBlock: (block: AudioBlock) => void): void;
  close(): void;
}

/**
 * Opens a recording for reading from the middle; null when its container does not allow that.
 *
 * @throws AudioError when the file is no recording that can be read.
 */
export function openSampleFile(path: string): SampleFile | null {
  const file = openSync(path, 'r');
  try {
    const { sigmfMeta } = recordingFiles(path);
    const header = readHeader(file, sigmfMeta);
    if (header !== null) return sampleFile(file, header, sigmfMeta);
  } catch (error) {
    closeSync(file);
    throw error;
  }
  closeSync(file);
  return null;
}

interface Header {
  readonly bytes: Uint8Array;
  readonly info: AudioInfo;
  readonly frameBytes: number;
}

const ignore = () => {};

/** What readers say of containers for which more than a look at the bytes is needed. */
const PACKED = new Set(['codec-not-loaded', 'unread-container']);

/** Everything before the first sample; null for containers whose samples lie packed. */
function readHeader(file: number, sigmfMeta: string | null): Header | null {
  try {
    return bareHeader(file, sigmfMeta);
  } catch (error) {
    if (error instanceof AudioError && PACKED.has(error.code)) return null;
    throw error;
  }
}

/** A reader knows its format when the byte before the first sample has come. */
function bareHeader(file: number, sigmfMeta: string | null): Header | null {
  const size = Math.min(fstatSync(file).size, MOST_HEADER_BYTES);
  const bytes = new Uint8Array(size);
  let filled = readSync(file, bytes, 0, Math.min(size, 4096), 0);
  const reader = new RecordingReader({ sigmfMeta });
  for (let at = 0; at < size; at++) {
    if (at === filled) filled += readSync(file, bytes, filled, Math.min(size - filled, PIECE_BYTES), filled);
    reader.push(bytes.subarray(at, at + 1), ignore);
    const { info, frameBytes } = reader;
    if (frameBytes === undefined) return null;
    if (info !== null && frameBytes) return { bytes: bytes.slice(0, at + 1), info, frameBytes };
  }
  return null;
}

function sampleFile(file: number, { bytes, info, frameBytes }: Header, sigmfMeta: string | null): SampleFile {
  const begin = bytes.length;
  const there = Math.floor((fstatSync(file).size - begin) / frameBytes);
  const frames = info.statedFrames === null ? there : Math.min(there, info.statedFrames);
  const piece = new Uint8Array(frameBytes * Math.max(1, Math.floor(PIECE_BYTES / frameBytes)));

  const readerAtFirstSample = (): AudioReader => {
    const reader = new RecordingReader({ sigmfMeta });
    reader.push(bytes, ignore);
    return reader;
  };

  return {
    info,
    frames,
    read(from, to, onBlock) {
      const reader = readerAtFirstSample();
      const end = begin + Math.min(to, frames) * frameBytes;
      for (let at = begin + Math.max(0, from) * frameBytes; at < end; ) {
        const read = readSync(file, piece, 0, Math.min(piece.length, end - at), at);
        if (read === 0) break;
        reader.push(piece.subarray(0, read), onBlock);
        at += read;
      }
      reader.end(onBlock);
    },
    close: () => closeSync(file),
  };
}
