import type { Mission } from '../../../decoders/mission/types.ts';
import type { LineReading } from './read-line.ts';

export interface LineJob {
  readonly number: number;
  readonly mission: Mission;
  readonly text: string;
}

export interface LineAnswer {
  readonly number: number;
  readonly reading: LineReading;
}

/** Reads lines beside the page, which stays quick to type in: a damaged line may take a phone half a second. */
export class LineReader {
  readonly #worker: Worker;
  readonly #onReading: (reading: LineReading) => void;
  #latest = 0;

  /** @param onReading hears the reading of the line asked for last; those overtaken are dropped */
  constructor(onReading: (reading: LineReading) => void, onFailure: (error: Error) => void) {
    this.#onReading = onReading;
    this.#worker = new Worker(new URL('./line-worker.ts', import.meta.url), { type: 'module' });
    this.#worker.onmessage = ({ data }: MessageEvent<LineAnswer>) => {
      if (data.number === this.#latest) this.#onReading(data.reading);
    };
    this.#worker.onerror = ({ message }) => onFailure(new Error(message || 'the reader of lines could not be loaded'));
  }

  read(mission: Mission, text: string): void {
    const job: LineJob = { number: ++this.#latest, mission, text };
    this.#worker.postMessage(job);
  }

  /** Drops whatever is still being read. */
  forget(): void {
    this.#latest++;
  }

  close(): void {
    this.#worker.terminate();
  }
}
