import { createHash } from 'node:crypto';
import { parse } from 'node:path';
import { PREPARE_BYTES, prepareAudio } from '../../../decoders/audio/prepare.ts';
import type { RecordingStart } from '../../../decoders/audio/start-time.ts';
import { sureSeconds } from '../../../decoders/audio/time-gaps.ts';
import {
  type BurstsFound,
  type CutOut,
  cutOut,
  cutOutStart,
  findBursts,
  readingOf,
} from '../../../decoders/cut-outs/index.ts';
import { DECODER_VERSION } from '../../../decoders/decoder-version.ts';
import { FiveunitError } from '../../../decoders/errors.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import { decodableBytes } from '../../audio/decodable-bytes.ts';
import { packageVersion } from '../../package-root.ts';
import { CommandError } from '../exit.ts';
import { peek, pieces } from '../inputs.ts';
import { complain, type Io } from '../io.ts';
import { startProgress } from '../progress.ts';
import type { Planned } from './plan.ts';
import type { SendTask } from './send-files.ts';
import { sentFile } from './sent-file.ts';
import { isHopeless, SendError } from './server-client.ts';
import { withRetries } from './with-retries.ts';

/** What became of a recording of which the bursts were to be sent. */
export type CutOutsSent =
  | { readonly what: 'known'; readonly id: string }
  | { readonly what: 'same'; readonly path: string }
  | { readonly what: 'read'; readonly ids: readonly string[]; readonly known: number; readonly failed: SendError[] }
  | { readonly what: 'failed'; readonly error: FiveunitError };

export interface CutOutTask extends SendTask {
  /** What is looked for, as the server would. */
  readonly missions: readonly Mission[];
}

/**
 * Decodes recordings here and sends the bursts that they hold, each with what was read in it. What the server has, whole or as
 * a cut-out, is not sent again: the same recording gives the same cut-outs.
 *
 * @throws SendError when nothing can be sent at all, for instance with a key that is void.
 */
export async function sendCutOuts(planned: readonly Planned[], task: CutOutTask, io: Io): Promise<CutOutsSent[]> {
  const outcomes: CutOutsSent[] = [];
  for (const each of planned) outcomes.push(await sendOne(each, task, io));
  return outcomes;
}

async function sendOne(planned: Planned, task: CutOutTask, io: Io): Promise<CutOutsSent> {
  const { file, sameAs, known } = planned;
  if (sameAs !== null) return { what: 'same', path: sameAs };
  if (known !== null) return { what: 'known', id: known.id };
  try {
    const bursts = await burstsIn(planned, task.missions, io);
    const { first, pieces: bytes } = await bytesOf(file.path, io);
    // a decoder serves one reading, from its start
    const codecs = await prepareAudio(first);
    const ids: string[] = [];
    const failed: SendError[] = [];
    let there = 0;
    for await (const one of cutOut(bytes, bursts, { codecs })) {
      try {
        const sent = await sendCutOut(one, planned, bursts, task, io);
        if (sent.known) there++;
        ids.push(sent.id);
      } catch (error) {
        if (!(error instanceof SendError) || isHopeless(error)) throw error;
        complain(io, `${file.path}, burst at ${Math.round(one.startSeconds)} s: ${error.message}`);
        failed.push(error);
      }
    }
    return { what: 'read', ids, known: there, failed };
  } catch (error) {
    if (!(error instanceof FiveunitError) || (error instanceof SendError && isHopeless(error))) throw error;
    complain(io, error instanceof CommandError ? error.message : `${file.path}: ${error.message}`);
    return { what: 'failed', error };
  }
}

/** Decodes a whole recording. */
export async function burstsIn({ file, start }: Planned, missions: readonly Mission[], io: Io): Promise<BurstsFound> {
  const { first, pieces: bytes } = await bytesOf(file.path, io);
  const codecs = await prepareAudio(first);
  const progress = await startProgress(io, `decoding ${file.name}`, file.bytes);
  try {
    const startedAt = start === null ? {} : { startedAt: start.iso };
    return await findBursts(bytes, { missions, codecs, ...startedAt }, (taken) => progress.update(taken.bytes));
  } finally {
    progress.stop();
  }
}

/** What is decoded of a file, and its first bytes. */
async function bytesOf(path: string, io: Io): Promise<{ first: Uint8Array; pieces: AsyncGenerator<Uint8Array> }> {
  const { first, pieces: all } = await peek(pieces(await sentFile(path, io)), PREPARE_BYTES);
  return { first, pieces: decodableBytes({ first, pieces: all, path }) };
}

async function sendCutOut(
  one: CutOut,
  { file, start }: Planned,
  { summary }: BurstsFound,
  { client, fields, patience }: CutOutTask,
  io: Io,
): Promise<{ id: string; known: boolean }> {
  const { timeBase, ...shared } = fields;
  const sure = sureSeconds(timeBase, [...summary.problems, ...file.problems]);
  const began = cutOutStart({ start, sureSeconds: sure, existedAt: new Date().toISOString() }, one.startSeconds);
  const sha256 = createHash('sha256').update(one.flac).digest('hex');
  const name = `${parse(file.name).name} at ${Math.floor(one.startSeconds)} s.flac`;
  const reading = {
    software: `fiveunit ${packageVersion()}`,
    decoderVersion: DECODER_VERSION,
    source: { sha256: file.sha256, startSeconds: one.startSeconds },
    bursts: readingOf(one),
  };
  return withRetries(
    async () => {
      const there = await client.known(sha256);
      if (there !== null) return { id: there.id, known: true };
      return client.sendCutOut(one.flac, name, { ...shared, ...timeFields(began) }, reading);
    },
    patience,
    ({ message }, seconds) => complain(io, `${file.path}: ${message}; trying again in ${seconds} s`),
  );
}

function timeFields(start: RecordingStart | null) {
  if (start === null) return {};
  const { iso: startedAt, source: startedAtSource, uncertaintySeconds } = start;
  const accuracy = uncertaintySeconds === null ? {} : { timeAccuracySeconds: uncertaintySeconds };
  return { startedAt, startedAtSource, ...accuracy };
}

/** In a few words. */
export function cutOutWords(sent: CutOutsSent): string {
  switch (sent.what) {
    case 'known':
      return `there already whole, ${sent.id}`;
    case 'same':
      return `same bytes as ${sent.path}`;
    case 'failed':
      return `not sent: ${sent.error.code}`;
    case 'read':
      return readWords(sent);
  }
}

function readWords({ ids, known, failed }: Extract<CutOutsSent, { what: 'read' }>): string {
  if (ids.length + failed.length === 0) return 'no burst in it, nothing sent';
  const parts: string[] = [];
  if (ids.length > known) parts.push(`${ids.length - known} cut out and sent`);
  if (known > 0) parts.push(`${known} there already`);
  if (failed.length > 0) parts.push(`${failed.length} not sent: ${failed[0].code}`);
  return ids.length === 0 ? parts.join(', ') : `${parts.join(', ')}: ${spanOf(ids)}`;
}

function spanOf(ids: readonly string[]): string {
  return ids.length > 3 ? `${ids[0]} … ${ids.at(-1)}` : ids.join(', ');
}

export function cutOutsFailed(sent: CutOutsSent): boolean {
  return sent.what === 'failed' || (sent.what === 'read' && sent.failed.length > 0);
}
