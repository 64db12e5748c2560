import { findInput } from '../inputs.ts';
import type { Io } from '../io.ts';
import { decodeFile, type FileOutcome, type FileProgress, type FileTask } from './file.ts';

/** A file at its turn: tells how far it is read from then on, and what it came to. */
export type Turn = (onProgress: (progress: FileProgress) => void) => Promise<FileOutcome>;

/** Where files are decoded: right here, or in threads. */
export interface FileDecoding {
  /** How many files may be begun and not yet have had their turn, lest what they came to pile up. */
  readonly ahead: number;
  /** A file may be decoded from now on; what it came to is asked for when its turn comes. */
  begin(task: FileTask): Turn;
  close(): Promise<void>;
}

/** One file after the other, each at its turn. */
export function decodingHere(io: Io): FileDecoding {
  return {
    ahead: 1,
    begin: (task) => (onProgress) => decodeFile(task, (name) => findInput(name, io), onProgress),
    async close() {},
  };
}

/** The turns of files, in their order, with some of them begun ahead. */
export function* inTurn(decoding: FileDecoding, tasks: readonly FileTask[]): Generator<readonly [FileTask, Turn]> {
  const waiting = [...tasks].reverse();
  const begun: (readonly [FileTask, Turn])[] = [];
  for (;;) {
    while (begun.length < decoding.ahead) {
      const task = waiting.pop();
      if (task === undefined) break;
      begun.push([task, decoding.begin(task)]);
    }
    const first = begun.shift();
    if (first === undefined) return;
    yield first;
  }
}
