import { closeSync, fstatSync, openSync, readFileSync, readSync, statSync } from 'node:fs';
import { MOST_META_BYTES, metaOfArchive } from '../decoders/audio/index.ts';
import { isTar, TAR_SIGNATURE_BYTES } from '../decoders/audio/sigmf/tar.ts';
import { FiveunitError } from '../decoders/errors.ts';

const META = '.sigmf-meta';
const DATA = '.sigmf-data';

/** A recording on disk: the file with the samples, and the text that tells what they are where it stands elsewhere. */
export interface RecordingFiles {
  readonly samples: string;
  /** Null for what tells everything itself. */
  readonly sigmfMeta: string | null;
}

/**
 * The files that belong to a recording, whichever of them is named: a SigMF pair stands side by side, `x.sigmf-meta` and
 * `x.sigmf-data`. Of an archive the metadata is looked for, as it may stand behind the samples.
 *
 * @throws FiveunitError `sigmf-no-twin`, `sigmf-meta-too-large`.
 */
export function recordingFiles(path: string): RecordingFiles {
  const stem = [META, DATA].find((ending) => path.endsWith(ending));
  if (stem === undefined) return { samples: path, sigmfMeta: archiveMeta(path) };
  const [meta, samples] = [META, DATA].map((ending) => path.slice(0, -stem.length) + ending);
  if (sizeOf(path) === null) return { samples: path, sigmfMeta: null };
  const bytes = sizeOf(meta);
  for (const [each, found] of [
    [meta, bytes],
    [samples, sizeOf(samples)],
  ] as const) {
    if (found !== null) continue;
    throw new FiveunitError('sigmf-no-twin', `${each} is missing: a SigMF recording is a pair of files, side by side`);
  }
  if (bytes !== null && bytes > MOST_META_BYTES) {
    const message = `${meta} is larger than ${MOST_META_BYTES / 2 ** 20} MB: no metadata of a recording`;
    throw new FiveunitError('sigmf-meta-too-large', message);
  }
  return { samples, sigmfMeta: readFileSync(meta, 'utf8') };
}

/** Names without those that stand for the other half of a pair that is named, too. */
export function withoutTwins(names: readonly string[]): string[] {
  return names.filter((name) => !(name.endsWith(META) && names.includes(name.slice(0, -META.length) + DATA)));
}

function sizeOf(path: string): number | null {
  const found = statSync(path, { throwIfNoEntry: false });
  return found?.isFile() ? found.size : null;
}

/** Null for what is no archive, no plain file, or cannot be read: that shows when its samples are. */
function archiveMeta(path: string): string | null {
  if (path === '-' || sizeOf(path) === null) return null;
  let file: number;
  try {
    file = openSync(path, 'r');
  } catch {
    return null;
  }
  try {
    const readAt = (at: number, length: number): Uint8Array => {
      const bytes = new Uint8Array(Math.min(length, Math.max(0, fstatSync(file).size - at)));
      return bytes.subarray(0, readSync(file, bytes, 0, bytes.length, at));
    };
    return isTar(readAt(0, TAR_SIGNATURE_BYTES)) ? metaOfArchive(readAt) : null;
  } finally {
    closeSync(file);
  }
}
