import { signal } from '@preact/signals';
import type { LiveEvent, Recording, RecordingFields } from '../../../server/http/messages.ts';
import { getRecording } from '../../api/endpoints.ts';
import { onLive } from '../../api/live.ts';
import { type ApiProblem, asProblem } from '../../api/problem.ts';
import { keepSenderKey } from '../../api/sender-keys.ts';
import { uploadRecording } from '../../api/upload.ts';

export type Stage = 'sending' | 'waiting' | 'decoding' | 'decoded' | 'failed' | 'refused';

/** A recording on its way from this page: being sent, decoded, done. It goes on while the viewer is on other pages. */
export interface Sent {
  readonly key: number;
  readonly name: string;
  readonly bytes: number;
  readonly stage: Stage;
  /** Share of the bytes sent, then of the recording decoded, 0 to 1. */
  readonly share: number;
  readonly id: string | null;
  readonly bursts: number;
  readonly frames: number;
  readonly presence: Recording['presence'];
  /** Text of the frame found last. */
  readonly lastText: string | null;
  readonly problem: ApiProblem | null;
  readonly failure: string | null;
}

/** Newest first. */
export const sent = signal<readonly Sent[]>([]);

let lastKey = 0;

/** What is needed to send again what did not go through. */
const again = new Map<number, { readonly file: File; readonly fields: RecordingFields }>();

function change(key: number, what: Partial<Sent>): void {
  sent.value = sent.peek().map((one) => (one.key === key ? { ...one, ...what } : one));
}

/** Sends a file and follows it until it is decoded. */
export function send(file: File, fields: RecordingFields): Promise<void> {
  const key = ++lastKey;
  const begun: Sent = {
    key,
    name: file.name,
    bytes: file.size,
    stage: 'sending',
    share: 0,
    id: null,
    bursts: 0,
    frames: 0,
    presence: [],
    lastText: null,
    problem: null,
    failure: null,
  };
  sent.value = [begun, ...sent.peek()];
  again.set(key, { file, fields });
  return transfer(key, file, fields);
}

/** Sends once more what was not taken; the same bytes twice are one recording. */
export async function retry(key: number): Promise<void> {
  const kept = again.get(key);
  if (kept === undefined) return;
  change(key, { stage: 'sending', share: 0, problem: null });
  await transfer(key, kept.file, kept.fields);
}

async function transfer(key: number, file: File, fields: RecordingFields): Promise<void> {
  try {
    const accepted = await uploadRecording(file, fields, (share) => change(key, { share })).done;
    if (accepted.senderKey !== undefined) keepSenderKey(accepted.id, accepted.senderKey);
    again.delete(key);
    change(key, { id: accepted.id, stage: accepted.status, share: 0 });
    await look(accepted.id);
  } catch (error) {
    change(key, { stage: 'refused', problem: asProblem(error) });
  }
}

/** Forgets what is done with. */
export function clearDone(): void {
  for (const { key, stage } of sent.peek()) if (stage === 'refused') again.delete(key);
  sent.value = sent.peek().filter(({ stage }) => stage === 'sending' || stage === 'waiting' || stage === 'decoding');
}

const isOpen = ({ stage }: Sent): boolean => stage === 'waiting' || stage === 'decoding';

function take(recording: Recording): void {
  for (const one of sent.peek()) {
    if (one.id !== recording.id) continue;
    change(one.key, {
      stage: recording.status,
      share: recording.progress,
      bursts: recording.bursts,
      frames: recording.frames,
      presence: recording.presence,
      failure: recording.error?.message ?? null,
    });
  }
}

async function look(id: string): Promise<void> {
  try {
    take(await getRecording(id));
  } catch {
    // the next event, or the next look, says it
  }
}

function hear(event: LiveEvent): void {
  if (event.type === 'recording') {
    if (sent.peek().some(({ id }) => id === event.recording)) void look(event.recording);
  }
  if (event.type !== 'progress') return;
  for (const one of sent.peek()) {
    if (one.id !== event.recording || !isOpen(one)) continue;
    const { progress: share, bursts, frames, lastText } = event;
    change(one.key, { stage: 'decoding', share, bursts, frames, lastText });
  }
}

onLive((note) => {
  if (note.type !== 'look-anew') return hear(note);
  for (const one of sent.peek()) if (one.id !== null && isOpen(one)) void look(one.id);
});
