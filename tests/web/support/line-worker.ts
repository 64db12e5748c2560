import { vi } from 'vitest';
import type { LineAnswer, LineJob } from '../../../web/pages/frames/line-reader.ts';
import { readLine } from '../../../web/pages/frames/read-line.ts';

/** A worker that reads lines in this thread: happy-dom has none. What passes is copied, as between threads. */
class InlineWorker {
  onmessage: ((event: { data: LineAnswer }) => void) | null = null;
  postMessage(job: LineJob): void {
    const { number, mission, text } = structuredClone(job);
    setTimeout(() => this.onmessage?.({ data: structuredClone({ number, reading: readLine(mission, text) }) }), 0);
  }
  terminate(): void {
    this.onmessage = null;
  }
}

export function readLinesInline(): void {
  vi.stubGlobal('Worker', InlineWorker);
}
