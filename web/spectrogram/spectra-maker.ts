import type { SpectraJob } from './spectra.ts';

export interface SpectraAnswer {
  readonly number: number;
  readonly levels: Uint8Array;
}

/** Has spectra made beside the page, which stays quick to move. One worker does for all spectrograms of a page. */
export class SpectraMaker {
  readonly #worker: Worker;
  readonly #waiting = new Map<number, (levels: Uint8Array) => void>();
  #count = 0;

  constructor() {
    this.#worker = new Worker(new URL('./spectra-worker.ts', import.meta.url), { type: 'module' });
    this.#worker.onmessage = ({ data: { number, levels } }: MessageEvent<SpectraAnswer>) => {
      this.#waiting.get(number)?.(levels);
      this.#waiting.delete(number);
    };
  }

  /** Takes the job's samples away. */
  make(job: SpectraJob): Promise<Uint8Array> {
    const number = ++this.#count;
    const { promise, resolve } = withResolve<Uint8Array>();
    this.#waiting.set(number, resolve);
    this.#worker.postMessage({ number, job }, [job.samples.buffer]);
    return promise;
  }
}

function withResolve<T>(): { promise: Promise<T>; resolve: (value: T) => void } {
  let resolve: (value: T) => void = () => {};
  const promise = new Promise<T>((done) => {
    resolve = done;
  });
  return { promise, resolve };
}

let shared: SpectraMaker | null = null;

export function spectraMaker(): SpectraMaker {
  shared ??= new SpectraMaker();
  return shared;
}
