import { complain, type Io } from '../io.ts';
import { startProgress } from '../progress.ts';
import type { Planned } from './plan.ts';
import { isHopeless, type KnownRecording, SendError, type SendFields, type ServerClient } from './server-client.ts';
import { type Patience, withRetries } from './with-retries.ts';

/** What became of a recording that was to be sent. */
export type Sent =
  | { readonly what: 'sent' | 'known'; readonly id: string }
  | { readonly what: 'same'; readonly path: string }
  | { readonly what: 'failed'; readonly error: SendError };

export interface SendTask {
  readonly client: ServerClient;
  /** What is the same for all. */
  readonly fields: SendFields;
  readonly recordingBytes: number;
  readonly patience: Patience;
}

/**
 * Sends recordings one after the other: what the server has is not sent again, what fails is tried again, and what fails for good does not keep the
 * others.
 *
 * @throws SendError when nothing can be sent at all, for instance with a key that is void.
 */
export async function sendFiles(planned: readonly Planned[], task: SendTask, io: Io): Promise<Sent[]> {
  const outcomes: Sent[] = [];
  for (const each of planned) outcomes.push(await sendOne(each, task, io));
  return outcomes;
}

async function sendOne({ file, fields, sameAs, known }: Planned, task: SendTask, io: Io): Promise<Sent> {
  if (sameAs !== null) return { what: 'same', path: sameAs };
  if (known !== null) return { what: 'known', id: known.id };
  const { client, recordingBytes, patience } = task;
  if (file.bytes > recordingBytes) {
    const message = `${file.path} has ${file.bytes} bytes, the server takes ${recordingBytes}: cut it, or send it as FLAC`;
    return { what: 'failed', error: new SendError('recording-too-large', message, { passing: false }) };
  }
  const progress = await startProgress(io, file.name, file.bytes);
  let isFirst = true;
  try {
    const result = await withRetries(
      async (): Promise<{ id: string; known: boolean }> => {
        // The answer may have been lost, not the recording.
        const there: KnownRecording | null = isFirst ? null : await client.known(file.sha256);
        isFirst = false;
        if (there !== null) return { id: there.id, known: false };
        return client.send(file, { ...task.fields, ...fields }, io, (bytes) => progress.update(bytes));
      },
      patience,
      ({ message }, seconds) => complain(io, `${file.path}: ${message}; trying again in ${seconds} s`),
    );
    return { what: result.known ? 'known' : 'sent', id: result.id };
  } catch (error) {
    if (!(error instanceof SendError) || isHopeless(error)) throw error;
    complain(io, `${file.path}: ${error.message}`);
    return { what: 'failed', error };
  } finally {
    progress.stop();
  }
}

/** In a few words. */
export function outcomeWords(sent: Sent): string {
  switch (sent.what) {
    case 'sent':
      return `sent as ${sent.id}`;
    case 'known':
      return `there already, ${sent.id}`;
    case 'same':
      return `same bytes as ${sent.path}`;
    case 'failed':
      return `not sent: ${sent.error.code}`;
  }
}
