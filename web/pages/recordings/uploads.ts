import { signal } from '@preact/signals';
import type {
  CutOutFields,
  CutOutReading,
  LiveEvent,
  Recording,
  RecordingFields,
} from '../../../server/http/messages.ts';
import { getRecording } from '../../api/endpoints.ts';
import { onLive } from '../../api/live.ts';
import { type ApiProblem, asProblem } from '../../api/problem.ts';
import { keepSenderKey } from '../../api/sender-keys.ts';
import { type Upload, uploadCutOut, uploadRecording } from '../../api/upload.ts';

/** `reading`: this browser reads it; `cut`: its bursts go on as cut-outs, each a recording of its own. */
export type Stage = 'reading' | 'cut' | 'sending' | 'waiting' | 'decoding' | 'decoded' | 'failed' | 'refused';

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

/** How to do again what did not go through. */
const again = new Map<number, () => Promise<void>>();

function change(key: number, what: Partial<Sent>): void {
  sent.value = sent.peek().map((one) => (one.key === key ? { ...one, ...what } : one));
}

/** Sends a file and follows it until it is decoded. */
export function send(file: File, fields: RecordingFields): Promise<void> {
  return begin(file, 'sending', (key) => transfer(key, (onShare) => uploadRecording(file, fields, onShare)));
}

/** Sends a cut-out and follows it likewise. */
export function sendCutOut(flac: File, fields: CutOutFields, reading: CutOutReading): Promise<void> {
  return begin(flac, 'sending', (key) => transfer(key, (onShare) => uploadCutOut(flac, fields, reading, onShare)));
}

/**
 * Reads a file in this browser, which may take a while.
 *
 * @param work resolves to the number of cut-outs that are on their way.
 */
export function readHere(file: File, work: (onShare: OnShare) => Promise<number>): Promise<void> {
  return begin(file, 'reading', async (key) => {
    try {
      const cutOuts = await work((share, bursts) => change(key, { share, bursts }));
      again.delete(key);
      change(key, { stage: cutOuts > 0 ? 'cut' : 'decoded', share: 1 });
    } catch (error) {
      change(key, { stage: 'refused', problem: asProblem(error) });
    }
  });
}

/** Share that is read, 0 to 1, and the bursts found by then. */
export type OnShare = (share: number, bursts: number) => void;

function begin(file: File, stage: 'sending' | 'reading', work: (key: number) => Promise<void>): Promise<void> {
  const key = ++lastKey;
  const begun: Sent = {
    key,
    name: file.name,
    bytes: file.size,
    stage,
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
  again.set(key, () => {
    change(key, { stage, share: 0, problem: null });
    return work(key);
  });
  return work(key);
}

/** Does once more what did not go through; the same bytes twice are one recording. */
export async function retry(key: number): Promise<void> {
  await again.get(key)?.();
}

async function transfer(key: number, upload: (onShare: (share: number) => void) => Upload): Promise<void> {
  try {
    const accepted = await upload((share) => change(key, { share })).done;
    if (accepted.senderKey !== undefined) keepSenderKey(accepted.id, accepted.senderKey);
    again.delete(key);
    change(key, { id: accepted.id, stage: accepted.status, share: 0 });
    await look(accepted.id);
  } catch (error) {
    change(key, { stage: 'refused', problem: asProblem(error) });
  }
}

const RUNNING: readonly Stage[] = ['reading', 'sending', 'waiting', 'decoding'];

/** Forgets what is done with. */
export function clearDone(): void {
  for (const { key, stage } of sent.peek()) if (stage === 'refused') again.delete(key);
  sent.value = sent.peek().filter(({ stage }) => RUNNING.includes(stage));
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
