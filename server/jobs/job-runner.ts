import { randomUUID } from 'node:crypto';
import { FiveunitError } from '../../decoders/errors.ts';
import type { Services } from '../services.ts';
import type { Job, StoredRecording } from '../store/records.ts';
import { runDecodeJob } from './decode-job.ts';
import type { DecodeProgress } from './decode-runner.ts';
import { runRecalculateJob } from './recalculate-job.ts';

export interface JobRunnerOptions {
  /** Called when a job changed what is stored. */
  readonly onChange: () => void;
  readonly onProgress: (recording: StoredRecording, progress: DecodeProgress) => void;
}

const LEASE_MILLISECONDS = 60_000;
const RENEW_MILLISECONDS = 20_000;
/** A job that takes the whole server down with it is given up after so many attempts. */
const ATTEMPTS_MAX = 3;

/** Takes jobs from the store as they come and does them, as many at once as there are threads for decoding. */
export class JobRunner {
  readonly #services: Services;
  readonly #options: JobRunnerOptions;
  readonly #worker = randomUUID();
  readonly #running = new Map<number, { job: Job; abort: AbortController; done: Promise<void> }>();
  readonly #progress = new Map<number, number>();
  readonly #rounds: NodeJS.Timeout;
  #taking: Promise<void> = Promise.resolve();
  #stopped = false;

  constructor(services: Services, options: JobRunnerOptions) {
    this.#services = services;
    this.#options = options;
    // A job that failed for want of disk or the like is tried again when its lease has run out.
    this.#rounds = setInterval(() => this.wake(), LEASE_MILLISECONDS).unref();
  }

  /** Looks for jobs: call it when one may have been added. */
  wake(): void {
    this.#taking = this.#taking
      .then(() => this.#take())
      .catch((error) => this.#services.complain(error, 'taking jobs'));
  }

  /** Share of a recording that is decoded, 0..1; 0 when it is not being decoded. */
  progressOf(recording: number): number {
    return this.#progress.get(recording) ?? 0;
  }

  /** Stops the decoding of a recording that is no longer wanted. */
  cancel(recording: number): void {
    for (const { job, abort } of this.#running.values()) {
      if (job.kind === 'decode' && job.subject === String(recording)) abort.abort(new Cancelled());
    }
  }

  /** Resolves when nothing is left to do. */
  async idle(): Promise<void> {
    for (;;) {
      await this.#taking;
      if (this.#running.size === 0) return;
      await Promise.all([...this.#running.values()].map(({ done }) => done));
    }
  }

  /** Interrupts what runs and puts it back for the next start. */
  async stop(): Promise<void> {
    this.#stopped = true;
    clearInterval(this.#rounds);
    await this.#taking;
    for (const { abort } of this.#running.values()) abort.abort(new Stopping());
    await Promise.all([...this.#running.values()].map(({ done }) => done));
  }

  async #take(): Promise<void> {
    const { store, decoding, clock } = this.#services;
    while (!this.#stopped && this.#running.size < decoding.width) {
      const job = await store.takeJob(this.#worker, clock(), LEASE_MILLISECONDS);
      if (job === null) return;
      const abort = new AbortController();
      const done = this.#do(job, abort.signal).finally(() => {
        this.#running.delete(job.id);
        this.#options.onChange();
        this.wake();
      });
      this.#running.set(job.id, { job, abort, done });
      this.#options.onChange();
    }
  }

  async #do(job: Job, signal: AbortSignal): Promise<void> {
    const { store, clock, complain } = this.#services;
    const renewal = setInterval(() => {
      store
        .keepJob(job.id, this.#worker, clock() + LEASE_MILLISECONDS)
        .catch((error) => complain(error, 'keeping a job'));
    }, RENEW_MILLISECONDS);
    try {
      if (job.attempts > ATTEMPTS_MAX) await this.#giveUp(job);
      else if (job.kind === 'decode') await this.#decode(Number(job.subject), signal);
      else await runRecalculateJob(this.#services, job.subject, signal);
    } catch (error) {
      if (error instanceof Stopping) await store.releaseJob(job.id);
      else if (!(error instanceof Cancelled)) complain(error, `job ${job.kind} ${job.subject}`);
    } finally {
      clearInterval(renewal);
    }
  }

  async #decode(recording: number, signal: AbortSignal): Promise<void> {
    try {
      await runDecodeJob(this.#services, recording, signal, (stored, progress) => {
        this.#progress.set(recording, progress.fraction);
        this.#options.onProgress(stored, progress);
      });
    } finally {
      this.#progress.delete(recording);
    }
  }

  async #giveUp({ kind, subject }: Job): Promise<void> {
    const { store, clock, complain } = this.#services;
    if (kind === 'recalculate') {
      complain(new Error(`given up after ${ATTEMPTS_MAX} attempts`), `recalculating the readings of ${subject}`);
      return store.dropRecalculation(subject);
    }
    const message = `the server failed ${ATTEMPTS_MAX} times while decoding this recording: it is kept, please report it`;
    await store.failDecoding(Number(subject), { code: 'decoding-crashed', message }, clock());
  }
}

class Stopping extends FiveunitError {
  constructor() {
    super('stopping', 'the server is stopping');
  }
}

class Cancelled extends FiveunitError {
  constructor() {
    super('cancelled', 'the recording was deleted');
  }
}
