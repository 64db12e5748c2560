import { parse } from 'node:path';
import type { RecordingStart } from '../../../decoders/audio/start-time.ts';
import { sureSeconds } from '../../../decoders/audio/time-gaps.ts';
import { cutOutStart } from '../../../decoders/cut-outs/index.ts';
import { FiveunitError } from '../../../decoders/errors.ts';
import { CommandError } from '../exit.ts';
import { complain, type Io } from '../io.ts';
import { type CutOutRecord, CutOutSpool } from './cut-out-spool.ts';
import { burstsIn, keyOfCutOuts, makeCutOuts, type Sought } from './make-cut-outs.ts';
import type { Planned } from './plan.ts';
import type { SendTask } from './send-files.ts';
import { type CutOutSendFields, isHopeless, SendError } from './server-client.ts';
import { withRetries } from './with-retries.ts';

/** What became of a recording of which the bursts were to be sent. */
export type CutOutsSent =
  | { readonly what: 'known'; readonly id: string }
  | { readonly what: 'same'; readonly path: string }
  | { readonly what: 'read'; readonly ids: readonly string[]; readonly known: number; readonly failed: SendError[] }
  | { readonly what: 'failed'; readonly error: FiveunitError };

export interface CutOutTask extends SendTask {
  /** What the server would look for. */
  readonly sought: Sought;
}

/**
 * Decodes recordings here and sends the bursts that they hold, each with what was read in it. What the server has, whole or as
 * a cut-out, is not sent again: the same recording gives the same cut-outs, which are kept until they have been accepted.
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
  const spool = await CutOutSpool.beside(file.path, keyOfCutOuts(planned, task.sought));
  try {
    const sent = await sendKept(await spool.record(), planned, task, spool, io);
    if (sent !== null) return sent;
    const bursts = await burstsIn(planned, task.sought, io);
    const record = await spool.keep(bursts.summary.problems, makeCutOuts(planned, bursts, io));
    const sentNow = await sendKept(record, planned, task, spool, io);
    if (sentNow !== null) return sentNow;
    throw new CommandError('unwritable', `${file.path}: what was cut out of it was removed before it was sent`);
  } catch (error) {
    if (!(error instanceof FiveunitError) || (error instanceof SendError && isHopeless(error))) throw error;
    complain(io, error instanceof CommandError ? error.message : `${file.path}: ${error.message}`);
    return { what: 'failed', error };
  } finally {
    await spool.close();
  }
}

/** Sends what was made of a recording; null where nothing was, or the server lacks some of it that is no longer here. */
async function sendKept(
  record: CutOutRecord | null,
  planned: Planned,
  task: CutOutTask,
  spool: CutOutSpool,
  io: Io,
): Promise<CutOutsSent | null> {
  if (record === null) return null;
  const ids: string[] = [];
  const failed: SendError[] = [];
  let there = 0;
  for (const { startSeconds, sha256 } of record.cutOuts) {
    const fields = fieldsOf(startSeconds, record, planned, task);
    try {
      const sent = await sendCutOut(sha256, fields, planned, task, spool, io);
      if (sent === null) return null;
      if (sent.known) there++;
      ids.push(sent.id);
      await spool.accepted(sha256);
    } catch (error) {
      if (!(error instanceof SendError) || isHopeless(error)) throw error;
      complain(io, `${planned.file.path}, burst at ${Math.round(startSeconds)} s: ${error.message}`);
      failed.push(error);
    }
  }
  return { what: 'read', ids, known: there, failed };
}

async function sendCutOut(
  sha256: string,
  { name, ...fields }: CutOutSendFields & { readonly name: string },
  { file }: Planned,
  { client, patience }: CutOutTask,
  spool: CutOutSpool,
  io: Io,
): Promise<{ id: string; known: boolean } | null> {
  return withRetries(
    async () => {
      const there = await client.known(sha256);
      if (there !== null) return { id: there.id, known: true };
      const waiting = await spool.waiting(sha256);
      return waiting && client.sendCutOut(waiting.flac, name, fields, waiting.reading);
    },
    patience,
    ({ message }, seconds) => complain(io, `${file.path}: ${message}; trying again in ${seconds} s`),
  );
}

/** What is said of a cut-out of a recording. */
function fieldsOf(
  startSeconds: number,
  { problems }: CutOutRecord,
  { file, start }: Planned,
  { fields: { timeBase, ...shared } }: CutOutTask,
): CutOutSendFields & { readonly name: string } {
  const sure = sureSeconds(timeBase, [...problems, ...file.problems]);
  const began = cutOutStart({ start, sureSeconds: sure, existedAt: new Date().toISOString() }, startSeconds);
  const name = `${parse(file.name).name} at ${Math.floor(startSeconds)} s.flac`;
  return { name, ...shared, ...timeFields(began) };
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
