import { sigmfArchiveFrame } from '../../../decoders/audio/sigmf/archive-write.ts';

const META = '.sigmf-meta';
const DATA = '.sigmf-data';

export interface JoinedFiles {
  readonly files: readonly File[];
  /** Halves of pairs whose other half is not there. */
  readonly lone: readonly File[];
}

/** Makes one archive of each SigMF pair, without reading either file: a recording travels as one. */
export function joinPairs(all: readonly File[]): JoinedFiles {
  const isHalf = ({ name }: File): boolean => name.endsWith(META) || name.endsWith(DATA);
  const files: File[] = [];
  const lone: File[] = [];
  for (const file of all) {
    if (!isHalf(file)) {
      files.push(file);
      continue;
    }
    const stem = file.name.slice(0, -META.length);
    const twin = all.find(({ name }) => name === stem + (file.name.endsWith(META) ? DATA : META));
    if (twin === undefined) lone.push(file);
    else if (file.name.endsWith(DATA)) files.push(archive(stem, twin, file));
  }
  return { files, lone };
}

function archive(stem: string, meta: File, data: File): File {
  const { beforeMeta, beforeData, afterData } = sigmfArchiveFrame(meta.size, data.size);
  const pieces = [beforeMeta, meta, beforeData, data, afterData].map((piece) =>
    piece instanceof Uint8Array ? piece.slice() : piece,
  );
  return new File(pieces, `${stem}.sigmf`);
}

/** What is missing, in words. */
export function loneText({ name }: File): string {
  const [has, lacks] = name.endsWith(META) ? [META, DATA] : [DATA, META];
  return `${name} is one half of a pair: choose ${name.slice(0, -has.length)}${lacks}, too.`;
}
