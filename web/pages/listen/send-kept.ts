import { signal } from '@preact/signals';
import { LIVE_TIME_ACCURACY_SECONDS } from '../../../decoders/live/index.ts';
import { onLive } from '../../api/live.ts';
import { asProblem } from '../../api/problem.ts';
import { keepSenderKey } from '../../api/sender-keys.ts';
import { uploadRecording } from '../../api/upload.ts';
import { site } from '../../site/site.ts';
import {
  fileNameOf,
  forgetKept,
  type KeptAudio,
  keepAudio,
  listKept,
  markRefused,
  type NewAudio,
} from './kept-audio.ts';

/** What has not reached the server yet, oldest first. */
export const kept = signal<readonly KeptAudio[]>([]);
/** Recordings that came of what was heard since the page was opened, oldest first. */
export const arrived = signal<readonly string[]>([]);
export const sending = signal(false);
/** The browser could keep nothing: said, since what was heard is then lost with the page. */
export const keepingProblem = signal<string | null>(null);

const RETRY_MS = 15_000;

async function look(): Promise<readonly KeptAudio[]> {
  try {
    kept.value = await listKept();
  } catch (error) {
    keepingProblem.value = error instanceof Error ? error.message : String(error);
  }
  return kept.peek();
}

/** Keeps a stretch until the server has it, or whoever listens has saved or forgotten it. */
export async function keepAndSend(audio: NewAudio): Promise<void> {
  try {
    await keepAudio(audio);
  } catch (error) {
    keepingProblem.value = error instanceof Error ? error.message : String(error);
    return;
  }
  await sendKept();
}

/**
 * Sends what is kept, one after the other; only one page of this browser does it at a time. A static site has nowhere to send
 * it to.
 */
export async function sendKept(): Promise<void> {
  const all = await look();
  if (site !== null || !all.some(({ refused }) => refused === null)) return;
  if (navigator.locks === undefined) return sendAll();
  await navigator.locks.request('fiveunit-send-kept', { ifAvailable: true }, (lock) => (lock ? sendAll() : undefined));
}

async function sendAll(): Promise<void> {
  if (sending.peek()) return;
  sending.value = true;
  try {
    for (let next = await first(); next !== undefined; next = await first()) if (!(await sendOne(next))) return;
  } finally {
    sending.value = false;
  }
}

const first = async (): Promise<KeptAudio | undefined> => (await look()).find(({ refused }) => refused === null);

/** Whether it makes sense to go on. */
async function sendOne(audio: KeptAudio): Promise<boolean> {
  const { wav, startMs, mission, station, phase } = audio;
  const file = new File([wav], fileNameOf(startMs), { type: 'audio/wav' });
  const startedAt = new Date(startMs).toISOString();
  const timing = { startedAt, timeAccuracySeconds: LIVE_TIME_ACCURACY_SECONDS, timeBase: 'continuous' } as const;
  const fields = { mission, station, phase, ...timing };
  try {
    const { id, senderKey } = await uploadRecording(file, fields, () => {}).done;
    if (senderKey !== undefined) keepSenderKey(id, senderKey);
    await forgetKept(audio.key);
    arrived.value = [...arrived.peek(), id];
    return true;
  } catch (error) {
    const problem = asProblem(error);
    // gone network, busy or failing server: later; anything else will not change by itself
    if (problem.status === 0 || problem.status === 429 || problem.status >= 500) return false;
    await markRefused(audio, problem.message);
    return true;
  }
}

/** Tries what was refused again, as after the team allowed it. */
export async function retryRefused(): Promise<void> {
  for (const audio of kept.peek()) if (audio.refused !== null) await markRefused(audio, null);
  await sendKept();
}

/** Sends what is kept whenever the server may be back; returns the way to stop. */
export function watchForServer(): () => void {
  const attempt = (): void => void sendKept();
  attempt();
  window.addEventListener('online', attempt);
  const stopLive = onLive((note) => {
    if (note.type === 'look-anew') attempt();
  });
  const timer = window.setInterval(attempt, RETRY_MS);
  return () => {
    window.removeEventListener('online', attempt);
    stopLive();
    window.clearInterval(timer);
  };
}
