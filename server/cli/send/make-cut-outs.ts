import { createHash } from 'node:crypto';
import { PREPARE_BYTES, prepareAudio } from '../../../decoders/audio/prepare.ts';
import { type BurstsFound, bandFacts, cutOut, findBursts, readingOf } from '../../../decoders/cut-outs/index.ts';
import type { DecodeOptions } from '../../../decoders/decode.ts';
import { DECODER_VERSION } from '../../../decoders/decoder-version.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { decodableBytes } from '../../audio/decodable-bytes.ts';
import { packageVersion } from '../../package-root.ts';
import { recordingFiles } from '../../sigmf-files.ts';
import { peek, pieces } from '../inputs.ts';
import type { Io } from '../io.ts';
import { startProgress } from '../progress.ts';
import type { MadeCutOut } from './cut-out-spool.ts';
import type { Planned } from './plan.ts';
import { sentFile } from './sent-file.ts';

const SOFTWARE = `fiveunit ${packageVersion()}`;

/** What is looked for in recordings, and what is said of those that are complex bands. */
export interface Sought {
  readonly missions: readonly Mission[];
  readonly band: Pick<DecodeOptions, 'iq' | 'tuning'>;
}

/** Decodes a whole recording. */
export async function burstsIn({ file, start }: Planned, { missions, band }: Sought, io: Io): Promise<BurstsFound> {
  const { first, pieces: bytes } = await bytesOf(file.path, io);
  const options = { missions, codecs: await prepareAudio(first), ...band, ...sigmfOf(file.path) };
  const progress = await startProgress(io, `decoding ${file.name}`, file.bytes);
  try {
    const startedAt = start === null ? {} : { startedAt: start.iso };
    return await findBursts(bytes, { ...options, ...startedAt }, (taken) => progress.update(taken.bytes));
  } finally {
    progress.stop();
  }
}

/** Reads a recording once more, and gives out what was found in it, one at a time. */
export async function* makeCutOuts({ file }: Planned, bursts: BurstsFound, io: Io): AsyncGenerator<MadeCutOut> {
  const { first, pieces: bytes } = await bytesOf(file.path, io);
  // a decoder serves one reading, from its start
  const options = { codecs: await prepareAudio(first), ...sigmfOf(file.path) };
  const { iq } = bursts.summary.info;
  for await (const one of cutOut(bytes, bursts, options)) {
    const { startSeconds, flac } = one;
    const reading = {
      software: SOFTWARE,
      decoderVersion: DECODER_VERSION,
      source: { sha256: file.sha256, startSeconds },
      ...(iq === undefined ? {} : { band: bandFacts(iq) }),
      bursts: readingOf(one),
    };
    yield { startSeconds, flac, reading };
  }
}

/** Names all that cut-outs of a recording depend on: what has the same key gives the same. */
export function keyOfCutOuts({ file, start }: Planned, { missions, band }: Sought): string {
  const of = [file.sha256, start?.iso ?? null, SOFTWARE, DECODER_VERSION, missions, band];
  return createHash('sha256').update(JSON.stringify(of)).digest('hex').slice(0, 32);
}

function sigmfOf(path: string): Pick<DecodeOptions, 'sigmfMeta'> {
  const { sigmfMeta } = recordingFiles(path);
  return sigmfMeta === null ? {} : { sigmfMeta };
}

/** What is decoded of a file, and its first bytes. */
async function bytesOf(path: string, io: Io): Promise<{ first: Uint8Array; pieces: AsyncGenerator<Uint8Array> }> {
  const { first, pieces: all } = await peek(pieces(await sentFile(path, io)), PREPARE_BYTES);
  return { first, pieces: decodableBytes({ first, pieces: all, path }) };
}
