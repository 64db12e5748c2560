import { basename } from 'node:path';
import { sigmfArchiveFrame } from '../../../decoders/audio/sigmf/archive-write.ts';
import { recordingFiles } from '../../sigmf-files.ts';
import { CommandError } from '../exit.ts';
import { findInput, type Input, pieces } from '../inputs.ts';
import type { Io } from '../io.ts';

const PAIR = /\.sigmf-(data|meta)$/;

/**
 * A recording as it is sent: the file itself, or the archive of a SigMF pair, whichever of its files is named.
 *
 * @throws CommandError when it is no file, FiveunitError `sigmf-no-twin`.
 */
export async function sentFile(path: string, io: Io): Promise<Input & { readonly bytes: number }> {
  const { samples, sigmfMeta } = recordingFiles(path);
  const input = await findInput(samples, io);
  const { bytes } = input;
  if (bytes === null) throw new CommandError('not-a-file', `${path}: only files can be sent; save it first`);
  if (!PAIR.test(path) || sigmfMeta === null) return { name: basename(path), bytes, open: () => pieces(input) };
  const meta = new TextEncoder().encode(sigmfMeta);
  const { beforeMeta, beforeData, afterData } = sigmfArchiveFrame(meta.length, bytes);
  return {
    name: `${basename(path).replace(PAIR, '')}.sigmf`,
    bytes: beforeMeta.length + meta.length + beforeData.length + bytes + afterData.length,
    async *open() {
      yield* [beforeMeta, meta, beforeData];
      yield* pieces(input);
      yield afterData;
    },
  };
}
