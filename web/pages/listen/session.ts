import { signal } from '@preact/signals';
import type { LiveLevel } from '../../../decoders/live/types.ts';
import type { Mission } from '../../../decoders/mission/types.ts';
import type { Phase } from '../../../server/http/messages.ts';
import { type ApiProblem, asProblem, ApiProblem as Problem } from '../../api/problem.ts';
import { type Capture, CaptureProblem, openCapture } from './capture.ts';
import { afterInterruption, type Gap, withGap } from './gaps.ts';
import { afterEvent, type Hearing } from './hearings.ts';
import type { ListenJob, ListenNote } from './listen-worker.ts';
import { keepAndSend } from './send-kept.ts';
import type { SpectrumColumn } from './spectrum.ts';
import { holdScreen } from './wake-lock.ts';

export interface ListenWishes {
  readonly deviceId: string | null;
  readonly missions: readonly Mission[];
  /** What is said of what was heard when it is sent. */
  readonly mission: string;
  /** Null: nothing is kept or sent. */
  readonly station: string | null;
  readonly phase: Phase;
  readonly keepAll: boolean;
}

export type SessionState = 'idle' | 'opening' | 'listening' | 'ending';

/*
 * One session at a time; it goes on while the viewer is on other pages.
 */
export const state = signal<SessionState>('idle');
export const problem = signal<ApiProblem | null>(null);
export const input = signal<{ readonly label: string; readonly keptOn: readonly string[] } | null>(null);
export const level = signal<LiveLevel | null>(null);
export const hearings = signal<readonly Hearing[]>([]);
export const gaps = signal<readonly Gap[]>([]);
export const listeningSinceMs = signal<number | null>(null);

const columnListeners = new Set<(column: SpectrumColumn) => void>();

/** Hears every column of the spectrum; returns the way to stop. */
export function onColumn(listener: (column: SpectrumColumn) => void): () => void {
  columnListeners.add(listener);
  return () => columnListeners.delete(listener);
}

interface Running {
  readonly worker: Worker;
  readonly capture: Capture;
  readonly letGo: () => void;
}

let running: Running | null = null;

/** Begins to listen; call it from a click. */
export async function begin(wishes: ListenWishes): Promise<void> {
  if (state.peek() !== 'idle') return;
  state.value = 'opening';
  problem.value = null;
  const worker = new Worker(new URL('./listen-worker.ts', import.meta.url), { type: 'module' });
  worker.onmessage = ({ data }: MessageEvent<ListenNote>) => hear(data, wishes);
  worker.onerror = ({ message }) => fail(new Error(message || 'the decoder could not be loaded'));
  const { port1, port2 } = new MessageChannel();
  try {
    const capture = await openCapture(wishes.deviceId, port1, {
      onInterrupted: interrupted,
      onEnded: () => {
        problem.value = new Problem(
          'input-gone',
          0,
          'The input is gone: it was unplugged, or taken away by the system.',
        );
        void end();
      },
    });
    const { missions, keepAll } = wishes;
    const options = { sampleRateHz: capture.sampleRateHz, missions, keepAll };
    const job: ListenJob = { type: 'begin', options };
    worker.postMessage(job, [port2]);
    running = { worker, capture, letGo: holdScreen() };
    input.value = { label: capture.label, keptOn: capture.keptOn };
    listeningSinceMs.value = Date.now();
    gaps.value = [];
    state.value = 'listening';
  } catch (error) {
    worker.terminate();
    state.value = 'idle';
    problem.value = error instanceof CaptureProblem ? new Problem(error.code, 0, error.message) : asProblem(error);
  }
}

/** Stops listening; what was heard is read to its end first. */
export async function end(): Promise<void> {
  if (running === null || state.peek() !== 'listening') return;
  state.value = 'ending';
  await running.capture.close();
  const job: ListenJob = { type: 'end' };
  running.worker.postMessage(job);
}

function stopped(): void {
  running?.worker.terminate();
  running?.letGo();
  running = null;
  input.value = null;
  level.value = null;
  listeningSinceMs.value = null;
  state.value = 'idle';
}

function fail(error: Error): void {
  problem.value = asProblem(error);
  void running?.capture.close();
  stopped();
}

function interrupted(isInterrupted: boolean): void {
  gaps.value = afterInterruption(gaps.peek(), isInterrupted, Date.now());
}

function hear(note: ListenNote, { mission, station, phase }: ListenWishes): void {
  switch (note.type) {
    case 'heard':
      if (note.event.type === 'level') level.value = note.event;
      hearings.value = afterEvent(hearings.peek(), note.stream, note.startMs, note.event);
      break;
    case 'spectrum':
      for (const listener of columnListeners) listener(note.column);
      break;
    case 'gap':
      gaps.value = withGap(gaps.peek(), note.fromMs, note.toMs);
      break;
    case 'audio':
      if (station !== null) {
        const { wav, practice, ...audio } = note.audio;
        const sure = practice ? 'rehearsal' : phase;
        void keepAndSend({ ...audio, wav: new Blob([wav], { type: 'audio/wav' }), mission, station, phase: sure });
      }
      break;
    case 'ended':
      stopped();
      break;
    case 'failed':
      fail(new Error(note.message));
      break;
  }
}
